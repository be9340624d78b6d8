/**
 * Black, middle and white of one channel carried to others, in linear light.
 *
 *   y = b′ + (w′ − b′) · n^γ      n = (x − b) / (w − b)      γ = ln m′ₙ / ln mₙ, held within 0.4 to 2.5
 *
 *   b, m, w     element's black, middle, white      b′, m′, w′  the plate's      mₙ, m′ₙ  the middles, normalised
 *
 * Below n₀ = 0.05 (or half the middle, where that is less) it is the straight line through black: a power's endless
 * slope there would tear the noise of the blacks apart. Below −n₀ it runs on with slope 1 at most, so that a channel whose
 * curve is steep does not fall away and stain the deepest smoke. Above white it is the tangent at white, 1 + γ (n − 1): a power
 * would blow up what lies beyond. Where the element has no contrast (w − b < 1e-5) the middle is carried over by offset alone.
 * Source: common practice.
 */
import { ln, pow, type Rgb } from '../../../core/index.js'

/** Share of the way from black to white below which the curve is straight. */
const TOE = 0.05

export interface Points {
  readonly black: Rgb
  readonly middle: Rgb
  readonly white: Rgb
}

/** One channel's curve as a closure: call per pixel. */
export function channelMatch(from: Points, to: Points, channel: 0 | 1 | 2): (x: number) => number {
  const b = from.black[channel]
  const span = from.white[channel] - b
  const out = to.black[channel]
  const outSpan = to.white[channel] - out
  if (span < 1e-5) return (x) => x - from.middle[channel] + to.middle[channel]
  const inMiddle = (from.middle[channel] - b) / span
  const outMiddle = (to.middle[channel] - out) / Math.max(outSpan, 1e-6)
  const gamma = middleGamma(inMiddle, outMiddle)
  const toe = Math.min(TOE, inMiddle > 0 ? inMiddle / 2 : TOE)
  const slope = pow(toe, gamma - 1)
  const shape = (n: number): number => {
    if (n > 1) return 1 + gamma * (n - 1)
    if (n >= toe) return pow(n, gamma)
    return n > -toe ? n * slope : -toe * slope + (n + toe) * Math.min(slope, 1)
  }
  return (x) => out + outSpan * shape((x - b) / span)
}

function middleGamma(inMiddle: number, outMiddle: number): number {
  const usable = (v: number) => v > 0.01 && v < 0.99
  if (!usable(inMiddle) || !usable(outMiddle)) return 1
  return Math.min(Math.max(ln(outMiddle) / ln(inMiddle), 0.4), 2.5)
}
