/**
 * What grain must have before it is rounded to a delivery's codes, so that it has its variance afterwards.
 *
 *   left = V − r                 V > 1.6 r        r  what rounding to its codes adds (`rounding.ts`)
 *   left = 0.234 V² / r          below            where noise spans so little of a code that rounding goes with it
 *
 * A level that lies anywhere between two codes q apart flips between them: V = σ q / √π for σ ≪ q, so σ² = π V² / q² = 0.26 V² / r; made
 * to meet the first line. Source: [emva1288] (q²/12); the mean of p (1 − p) over the place between two codes, by hand.
 */
import type { ColourEncoding, PixelLayout } from '../../../core/index.js'
import type { GrainLists } from './model.js'
import { roundingOf } from './rounding.js'

const MEETS = 1.6

export function beforeRounding(lists: GrainLists, layout: PixelLayout, encoding: ColourEncoding): GrainLists {
  if (layout.float) return lists
  const { variance: added } = roundingOf(layout, encoding)
  const n = lists.levels.length
  const variance = lists.variance.map((v, i) =>
    leftOf(v, added(Math.floor(i / n), lists.levels[i % n] as number)),
  )
  return { ...lists, variance }
}

function leftOf(all: number, rounding: number): number {
  if (all > MEETS * rounding) return all - rounding
  return (((MEETS - 1) / MEETS ** 2) * all * all) / rounding
}
