/**
 * The focal length of a camera that only turns, from how much what it sees is bent by it: the one that leaves the least over some
 * frames, each with the turn that fits it best.
 *
 *   f = argmin Σ χ²(f)        sd(ln f)² = 2·s² / (d²Σχ² / d(ln f)²)        s² = Σχ² / degrees of freedom
 *
 * Searched from 0.3 to 30 picture widths (a view of 118° to one of 2°), 25 steps a decade, then by thirds to 1e-7. It cannot be told where the turns are
 * too small to bend anything: sd(ln f) above 0.2, or an end of the range. Holds for one focal length over the shot.
 * Source: [hartley2004 §8.4.2, §19.6 (calibrating a turning camera)], by least squares of places.
 */
import { exp, ln } from '../../../../core/index.js'
import type { Place } from '../matrix.js'
import { fitMotion } from './fit.js'
import { rotation } from './models.js'
import type { Pairs } from './pairs.js'

const WIDTHS = [0.3, 30] as const
const STEPS = 50
const LEAST_SURE = 0.2
const PROBE = 0.02

export interface Focal {
  readonly focalPx: number
  /** Standard deviation of its logarithm. */
  readonly spread: number
}

/**
 * @param frames pairs of some frames, none of them wrong
 * @param middle of the lens on the plate, px; its double is the plate's width
 */
export function focalOf(frames: readonly Pairs[], middle: Place): Focal | { readonly cannotTell: string } {
  let degrees = -1
  const left = (logF: number) => {
    degrees = -1
    let sum = 0
    for (const pairs of frames) {
      const fit = fitMotion(rotation, pairs, { middle, focalPx: exp(logF) })
      sum += fit?.chi2 ?? 0
      degrees += fit?.degrees ?? 0
    }
    return sum
  }
  const [low, high] = [ln(WIDTHS[0] * 2 * middle[0]), ln(WIDTHS[1] * 2 * middle[0])]
  const grid = Array.from({ length: STEPS + 1 }, (_, i) => low + ((high - low) * i) / STEPS)
  const costs = grid.map(left)
  const best = costs.indexOf(Math.min(...costs))
  if (degrees < 1) return { cannotTell: 'the points are too few to tell the focal length from' }
  if (best === 0 || best === STEPS) return { cannotTell: 'no focal length explains how the points move' }
  let [a, b] = [grid[best - 1] as number, grid[best + 1] as number]
  while (b - a > 1e-7) {
    const [p, q] = [a + (b - a) / 3, b - (b - a) / 3]
    if (left(p) < left(q)) b = q
    else a = p
  }
  const at = (a + b) / 2
  const least = left(at)
  const bend = (left(at + PROBE) - 2 * least + left(at - PROBE)) / (PROBE * PROBE)
  const spread = Math.sqrt((2 * Math.max(1, least / degrees)) / bend)
  return spread < LEAST_SURE
    ? { focalPx: exp(at), spread }
    : { cannotTell: 'the camera turns too little to tell its focal length from' }
}
