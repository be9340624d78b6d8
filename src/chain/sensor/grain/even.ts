import { median, pow } from '../../../core/index.js'
import { BOUND, type Found, FROZEN, LEAST_BLOCKS } from './found.js'
import type { Look } from './look.js'
import { addEven, type Rounding } from './overTime.js'
import { rowsOf } from './rows.js'
import { Tally } from './tally.js'

/** Of σ² in what is even, one standard deviation: a choice. */
const EVEN = 0.5

/**
 * Between frames in what is even, moved over each other: texture passes for some of it where nothing tells them apart, and a codec has
 * left some blocks empty. Nothing without two frames.
 */
export function evenOverTime(looks: readonly Look[], clip: number, rounding: Rounding): Found | undefined {
  const tally = new Tally()
  for (const look of looks) addEven(look, clip, rounding, tally)
  if (tally.blocks < LEAST_BLOCKS || tally.frozen > FROZEN * tally.blocks) return undefined
  tally.doubt = EVEN * tally.blocks
  const rows = rowsOf(tally, clip, rounding).filter((r) => r.raw.every((v) => v !== undefined))
  if (rows.length === 0) return undefined
  const levels = rows.map((r) => r.level)
  const held = [0, 1, 2].map((c) =>
    evenedOut(
      levels,
      rows.map((r) => r.raw[c] as number),
    ),
  )
  const method = `difference of successive frames in the ${tally.blocks} flattest blocks, moved over each other`
  return {
    ...{ tally, method, sure: false, blocks: 'less their means', confidence: BOUND },
    rows: rows.map((r, i) => {
      const by = held.map((h, c) => (h[i] as number) / (r.raw[c] as number))
      const times = (v: number | undefined, c: number) => v && v * (by[c] as number)
      return {
        level: r.level,
        variance: r.variance.map(times),
        spread: r.spread.map(times),
        raw: r.raw.map(times),
      }
    }),
  }
}

/**
 * Neither a level that a codec emptied nor one that has texture alone is far from the others: σ / level^0.6 keeps to the middle within two
 * of its spreads, which are half of σ²'s.
 */
const ALIKE = 1 + EVEN

function evenedOut(levels: readonly number[], variance: readonly number[]): number[] {
  const scale = levels.map((l) => pow(Math.max(l, 1e-3), 0.6))
  const relative = variance.map((v, i) => Math.sqrt(v) / (scale[i] as number))
  const middle = median(relative)
  return relative.map(
    (r, i) => (Math.min(Math.max(r, middle / ALIKE), middle * ALIKE) * (scale[i] as number)) ** 2,
  )
}
