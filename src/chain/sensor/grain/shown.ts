/**
 * Grain as the file's codes show it: what rounding made of it stays in, and so does what lies in blotches. That is what an element beside
 * it must show too; how much noise the sensor made is another question (`measure.ts`).
 *
 *   σ²(L) = v(L) · T      v  variance of blocks less their means     T  all of it in units of that (`blotches.ts`, else by the lags)
 *
 * Where a codec left less than a code of noise, its codes go up and down by whole blocks: rounding is then no white noise on top, and
 * taking it off would leave nothing of the colour.
 */
import { type Blotches, blotchesOf, tellsBlotches } from './blotches.js'
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
        /** One standard deviation, px. */
        readonly sizeSpread: number
        /** Of their σ at a level, one standard deviation, a share of it, of R, G, B. */
        readonly spread: Three<number>
        readonly mix: Three<number>
        /** One standard deviation of each of those. */
        readonly mixSpread: number
        readonly share: readonly [readonly number[], readonly number[], readonly number[]]
      }
    | undefined
  /** Why nothing can be said of blotches; absent where it can. */
  readonly untold?: string
}

const ONE_FRAME =
  'coarse grain shows in frames of one view, one after the other: in a single one nothing tells it from what the scene is uneven by'

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
  const blotches = blotchesOf(tally)
  const { lost, ...products } = productsOf(tally, -1, 'in')
  const put = (back: readonly number[], c: number) =>
    whole === 'whole' ? 1 : (1 - 1 / tally.pixels) / (1 - (back[c] as number))
  const factor = (c: number, level: number) =>
    blotches === undefined ? put(lost, c) : at(blotches, 'whole', c, level)
  const without = productsOf(tally).lost
  const variance = [0, 1, 2].map((c) =>
    rows.map(({ raw, level }, i) => {
      const unseen = (noise[c]?.[i] as number) / put(without, c) + rounding.variance(c, level)
      return (raw[c] ?? unseen) * factor(c, level)
    }),
  ) as unknown as Three<number[]>
  if (blotches === undefined)
    return {
      ...products,
      variance,
      coarse: undefined,
      ...(tellsBlotches(tally) ? {} : { untold: ONE_FRAME }),
    }
  const { fine, parts: _, ...of } = blotches
  const share = [0, 1, 2].map((c) => rows.map((r) => at(blotches, 'share', c, r.level)))
  return {
    ...fine,
    variance,
    coarse: { ...of, share: share as unknown as Three<number[]> },
  }
}

function at({ parts }: Blotches, what: 'share' | 'whole', c: number, level: number): number {
  return tableAt(
    parts.map((p) => p.level),
    parts.map((p) => p[what][c] as number),
    level,
  )
}
