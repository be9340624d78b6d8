/**
 * What rounding to a file's codes adds to each channel's light.
 *
 *   R′G′B′       q²/12 · δ                                                  q  one code as a share of the signal
 *   Y′CbCr       (q_Y² · δ(m) · 1·1ᵀ + q_C² · s_x(m_x) s_y(m_y) · Σ k·kᵀ)/12   k  what a step of Cb or Cr makes of R′, G′, B′ (of the matrix)
 *   in light     that, divided by (d code/d light)²                         s  chroma between its sites, below; m  lag in pixels
 *
 * Luma's rounding is the same in all channels, and chroma's spreads over neighbours: both look like correlation of the grain.
 *
 *   s(0), s(1), s(2)    every pixel a site: 1, 0, 0    every other pixel: ¾, ½, ⅛    between pixels: ⅝, 15/32, 3/16
 *
 * Holds where the noise spans half a code or more; below that rounding goes with the signal. Source: [emva1288] (q²/12); [bt709]
 * for the matrix; covariance of linear interpolation, averaged over the pixels, by hand.
 */
import { channelCurves, lumaWeights } from '../../../colour/index.js'
import type { ColourEncoding, PixelLayout, Siting } from '../../../core/index.js'
import { type Rounding, UNROUNDED } from './overTime.js'
import { LAGS, PAIRS } from './tally.js'

const STEP = 1e-3
type Three = readonly [number, number, number]
const AT_SITES: Three = [1, 0, 0]
const ON_PIXELS: Three = [0.75, 0.5, 0.125]
const BETWEEN: Three = [0.625, 15 / 32, 0.1875]

export function roundingOf(layout: PixelLayout, encoding: ColourEncoding): Rounding {
  if (layout.float) return UNROUNDED
  const covariance = inCode(layout, encoding)
  const curves = channelCurves(encoding)
  const power = [0, 1, 2].map((c) => covariance(c, c, 0, 0))
  const share = (a: number, b: number, dx: number, dy: number) =>
    covariance(a, b, dx, dy) / Math.sqrt((power[a] as number) * (power[b] as number))
  const lags = (a: number, b: number) =>
    LAGS.map(([dx, dy]) => share(a, b, dx, dy)) as unknown as [number, number, number, number]
  return {
    variance: (c, level) => {
      const { encode } = curves[c] as (typeof curves)[number]
      const step = STEP * Math.max(level, 0.01)
      const slope = (encode(level + step) - encode(level - step)) / (2 * step)
      return (power[c] as number) / Math.max(slope * slope, 1e-12)
    },
    correlation: {
      lags: [0, 1, 2].map((c) => lags(c, c)),
      cross: PAIRS.map(([a, b]) => lags(a, b)),
      mix: PAIRS.map(([a, b]) => share(a, b, 0, 0)) as unknown as Three,
    },
  }
}

/** Covariance of two channels of R′G′B′ at a lag. */
function inCode(layout: PixelLayout, { range, matrix, siting }: ColourEncoding) {
  const scale = 2 ** layout.bits
  const limited = range === 'limited'
  const step = (codes: number) => (limited ? 1 / ((codes * scale) / 256) : 1 / (scale - 1)) ** 2 / 12
  const [luma, chroma] = [step(219), step(224)]
  const white = (dx: number, dy: number) => (dx === 0 && dy === 0 ? luma : 0)
  if (layout.family === 'rgb' || matrix === 'rgb')
    return (a: number, b: number, dx: number, dy: number) => (a === b ? white(dx, dy) : 0)
  const { kr, kb } = lumaWeights[matrix]
  const kg = 1 - kr - kb
  const [r, b] = [2 * (1 - kr), 2 * (1 - kb)]
  const [cb, cr] = [
    [0, (-b * kb) / kg, b],
    [r, (-r * kr) / kg, 0],
  ] as const
  const [x, y] = [along(layout.subX, siting, 'x'), along(layout.subY, siting, 'y')]
  return (i: number, j: number, dx: number, dy: number) => {
    const both = (cb[i] as number) * (cb[j] as number) + (cr[i] as number) * (cr[j] as number)
    return white(dx, dy) + chroma * (x[dx] as number) * (y[dy] as number) * both
  }
}

/** Covariance of chroma along an axis at 0, 1 and 2 pixels, its own at the sites being 1. */
function along(sub: number, siting: Siting, axis: 'x' | 'y'): Three {
  if (sub === 0) return AT_SITES
  const on = axis === 'x' ? /(left|right)$/ : /^(top|bottom)/
  return on.test(siting) ? ON_PIXELS : BETWEEN
}
