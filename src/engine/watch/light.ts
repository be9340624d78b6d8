/** From the lightness that pictures are compared by to light: what covers and adds does so there. */
import { channelCurves } from '../../colour/index.js'
import type { ColourEncoding, PixelLayout } from '../../core/index.js'

/** Depth that is told apart, bits: a curve is slow to reckon for every pixel. */
const BITS = 12

/** Of a sample of `lumaOf`, by the curve of its file (of the green channel, which is most of it). */
export function lightOfLuma(layout: PixelLayout, encoding: ColourEncoding): (sample: number) => number {
  // Linear files were bent by a root there.
  if (layout.float) return (v) => (v / 255) ** 2
  const [, { decode }] = channelCurves(encoding)
  const narrow = encoding.range === 'limited'
  const step = 2 ** (layout.bits - 8)
  // 16 to 235 of 255 [bt709]; else all codes.
  const [black, white] = narrow ? [16 * step, 235 * step] : [0, 2 ** layout.bits - 1]
  const shift = Math.max(0, layout.bits - BITS)
  const table = Float32Array.from({ length: 2 ** (layout.bits - shift) }, (_, i) =>
    decode((i * 2 ** shift - black) / (white - black)),
  )
  return (v) => table[v >> shift] as number
}
