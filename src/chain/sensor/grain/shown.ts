/**
 * Grain as the file's codes show it: what rounding made of it stays in, and so does what lies in blotches. That is what an element beside
 * it must show too; how much noise the sensor made is another question (`measure.ts`).
 *
 *   σ²(L) = v(L) · T      v  variance of blocks less their means     T  all of it in units of that (`blotches.ts`, else by the lags)
 *
 * Where a codec left less than a code of noise, its codes go up and down by whole blocks: rounding is then no white noise on top, and
 * taking it off would leave nothing of the colour.
 */
import { type Blotches, blotchesOf } from './blotches.js'
import { tableAt } from './model.js'
import type { Rounding } from './overTime.js'
import type { Rows } from './rows.js'
import { type NoiseCorrelation, productsOf, type Tally } from './tally.js'

export interface ShownGrain extends NoiseCorrelation {
  /** R, G, B, one figure a level. */
  readonly variance: readonly [readonly number[], readonly number[], readonly number[]]
  /** Of the blotches, `share` one list a channel; the correlations are then of the rest. Undefined where none are seen. */
  readonly coarse:
    | {
        readonly size: number
        /** Of their σ, one standard deviation, a share of it. */
        readonly spread: number
        readonly mix: readonly [number, number, number]
        readonly share: readonly [readonly number[], readonly number[], readonly number[]]
      }
    | undefined
}

type Three<T> = readonly [T, T, T]

/**
 * @param noise without rounding, one list a channel, where a level was not seen
 * @param whole by what a block's variance falls short of the noise's: over time blocks lose their means
 */
export function shownGrain(
  rows: readonly Rows[],
  noise: readonly (readonly number[])[],
  tally: Tally,
  rounding: Rounding,
  whole: 'less their means' | 'whole',
): ShownGrain {
  const blotches = blotchesOf(tally.wholes)
  const { lost, ...products } = productsOf(tally, -1, 'in')
  const factor = (c: number, level: number) => {
    if (blotches !== undefined) return at(blotches, 'whole', c, level)
    return whole === 'whole' ? 1 : (1 - 1 / tally.pixels) / (1 - (lost[c] as number))
  }
  const variance = [0, 1, 2].map((c) =>
    rows.map(({ raw, level }, i) => {
      const seen = raw[c]
      if (seen !== undefined) return seen * factor(c, level)
      return (noise[c]?.[i] as number) + rounding.variance(c, level)
    }),
  ) as unknown as Three<number[]>
  if (blotches === undefined) return { ...products, variance, coarse: undefined }
  const { size, spread, mix, fine } = blotches
  const share = [0, 1, 2].map((c) => rows.map((r) => at(blotches, 'share', c, r.level)))
  return { ...fine, variance, coarse: { size, spread, mix, share: share as unknown as Three<number[]> } }
}

function at({ parts }: Blotches, what: 'share' | 'whole', c: number, level: number): number {
  return tableAt(
    parts.map((p) => p.level),
    parts.map((p) => p[what][c] as number),
    level,
  )
}
