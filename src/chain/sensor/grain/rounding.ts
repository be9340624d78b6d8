/**
 * Variance that rounding to a file's codes adds to each channel's light.
 *
 *   R′G′B′       q²/12                                        q  one code as a share of the signal
 *   Y′CbCr       (q_Y² + s · k² q_C²)/12                      k  what a step of Cb and Cr makes of the channel (of the matrix)
 *   in light     that, divided by (d code/d light)²           s  what is left of it between subsampled sites, 0.625 an axis
 *
 * Holds where the noise spans half a code or more; below that rounding goes with the signal. Source: [emva1288] (q²/12); [bt709]
 * for the matrix; variance of linear interpolation half-way and at the sites, averaged: (1 + 0.25)/2.
 */
import { channelCurves, lumaWeights } from '../../../colour/index.js'
import type { ColourEncoding, PixelLayout } from '../../../core/index.js'
import type { Rounding } from './overTime.js'

const STEP = 1e-3
/** Mean of w₁² + w₂² over the sites that linear interpolation between quarters gives: 1/16 + 9/16. */
const BETWEEN = 0.625

export function roundingOf(layout: PixelLayout, encoding: ColourEncoding): Rounding {
  if (layout.float) return () => 0
  const scale = 2 ** layout.bits
  const limited = encoding.range === 'limited'
  const luma = limited ? 1 / ((219 * scale) / 256) : 1 / (scale - 1)
  const chroma = limited ? 1 / ((224 * scale) / 256) : 1 / (scale - 1)
  const code = inCode(layout, encoding, luma ** 2 / 12, chroma ** 2 / 12)
  const curves = channelCurves(encoding)
  return (c, level) => {
    const { encode } = curves[c] as (typeof curves)[number]
    const step = STEP * Math.max(level, 0.01)
    const slope = (encode(level + step) - encode(level - step)) / (2 * step)
    return (code[c] as number) / Math.max(slope * slope, 1e-12)
  }
}

function inCode(
  layout: PixelLayout,
  encoding: ColourEncoding,
  luma: number,
  chroma: number,
): readonly number[] {
  if (layout.family === 'rgb' || encoding.matrix === 'rgb') return [luma, luma, luma]
  const { kr, kb } = lumaWeights[encoding.matrix]
  const kg = 1 - kr - kb
  const kept = BETWEEN ** ((layout.subX > 0 ? 1 : 0) + (layout.subY > 0 ? 1 : 0)) * chroma
  const [r, b] = [(2 * (1 - kr)) ** 2, (2 * (1 - kb)) ** 2]
  return [luma + r * kept, luma + (r * (kr / kg) ** 2 + b * (kb / kg) ** 2) * kept, luma + b * kept]
}
