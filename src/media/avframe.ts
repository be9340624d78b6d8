/** Between an FFmpeg frame and ours; the samples are copied, never converted. */

import type { AVPixelFormat } from 'node-av/constants'
import { avGetPixFmtFromName, avGetPixFmtName, Frame } from 'node-av/lib'
import type { NativeFrame } from '../core/index.js'
import { formatNamed } from './formats.js'
import { packSamples, unpackSamples } from './samples.js'

/** Our planes of a decoded frame; the frame can be freed afterwards. @throws Problem `media.unsupported-layout` */
export function fromAvFrame(frame: Frame, where?: string): NativeFrame {
  const format = formatNamed(avGetPixFmtName(frame.format as AVPixelFormat) ?? 'none', where)
  return unpackSamples(frame.toBuffer(), format, frame.width, frame.height)
}

/** An FFmpeg frame holding our samples in `formatName` (same layout); free it after use. */
export function toAvFrame(frame: NativeFrame, formatName: string): Frame {
  const format = formatNamed(formatName)
  return Frame.fromVideoBuffer(packSamples(frame, format), {
    width: frame.width,
    height: frame.height,
    format: avGetPixFmtFromName(formatName),
  })
}
