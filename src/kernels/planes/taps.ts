/**
 * Filters between sample grids that share one frame: chroma to luma sites, luma to chroma, chroma to other chroma.
 *
 * Sample i of a grid of step s sits on luma site i·s (first of its group), i·s + (s − 1)/2 (middle) or
 * i·s + s − 1 (last). Every destination
 * sample takes a triangle around its own site, as wide as the coarser of both grids: going up that is linear
 * interpolation; going down [1 2 1]/4 around a luma site and [1 3 3 1]/8 between two, for step 2. Sites beyond the
 * frame mirror at its edge (all but 4:1:1 then only repeat the last sample). Weights are whole fractions of a power of two and sum to exactly 1, so constants stay.
 *
 * Source: [bt601], [h273-2021] §8.7 for the sites; linear interpolation is common practice.
 */
import type { PixelLayout, Siting } from '../../core/index.js'

/** Samples of one axis: `step` luma sites apart, the first of them on luma site `shift`. */
export interface Axis {
  readonly step: number
  readonly shift: number
}

export interface Taps {
  /** Taps of one destination sample. */
  readonly n: number
  /** n source indices for each destination sample, already held to the source. */
  readonly index: Int32Array
  readonly weight: Float64Array
}

export const LUMA: Axis = { step: 1, shift: 0 }

export function sameAxis(a: Axis, b: Axis): boolean {
  return a.step === b.step && a.shift === b.shift
}

/** The chroma grid of a layout; along a side that is not subsampled it is the luma grid. */
export function chromaAxes(layout: PixelLayout, siting: Siting): { x: Axis; y: Axis } {
  const x = siting.endsWith('left') ? 0 : siting.endsWith('right') ? 1 : 0.5
  const y = siting.startsWith('top') ? 0 : siting.startsWith('bottom') ? 1 : 0.5
  return { x: axis(1 << layout.subX, x), y: axis(1 << layout.subY, y) }
}

/** `place`: 0 on the first luma site of each group, 1 on the last. */
function axis(step: number, place: number): Axis {
  return { step, shift: place * (step - 1) }
}

/**
 * Taps for `count` destination samples from number `first` on; the source holds samples `sourceFirst` to
 * `sourceFirst + sourceCount − 1` and indices count from its first.
 */
export function tapsBetween(
  from: Axis,
  to: Axis,
  first: number,
  count: number,
  sourceFirst: number,
  sourceCount: number,
): Taps {
  const support = Math.max(1, to.step / from.step)
  const n = 2 * support
  const index = new Int32Array(n * count)
  const weight = new Float64Array(n * count)
  for (let i = 0; i < count; i++) {
    const at = ((first + i) * to.step + to.shift - from.shift) / from.step
    const start = Math.floor(at - support) + 1
    for (let k = 0; k < n; k++) {
      index[n * i + k] = mirrored(start + k - sourceFirst, sourceCount)
      weight[n * i + k] = Math.max(0, 1 - Math.abs(start + k - at) / support) / support
    }
  }
  return { n, index, weight }
}

/** Index reflected at the edge, whose own sample counts twice; sources too short for that repeat their end. */
function mirrored(i: number, count: number): number {
  const inside = i < 0 ? -1 - i : i >= count ? 2 * count - 1 - i : i
  return Math.min(Math.max(inside, 0), count - 1)
}
