import type { ColourEncoding } from '../../core/index.js'
import { curveOf } from '../curves/index.js'
import { type ChannelCurve, responseCurves } from './table.js'

/** Curves of R, G and B of an encoding: the camera's own as measured, else the named one. */
export function channelCurves({
  curve,
  response,
}: Pick<ColourEncoding, 'curve' | 'response'>): readonly [ChannelCurve, ChannelCurve, ChannelCurve] {
  const named = curveOf(curve)
  return response === undefined ? [named, named, named] : responseCurves(response, curve)
}

/** `hlg curve`, or that it is the camera's own. */
export function curveWords({ curve, response }: Pick<ColourEncoding, 'curve' | 'response'>): string {
  return response === undefined ? `${curve} curve` : "the camera's own curve"
}
