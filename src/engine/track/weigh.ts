/** What a mark that is seen has to say beside the others. */
import type { Shape, Weighing } from '../../chain/place/motion/fit/pairs.js'
import type { Place } from '../../vision/index.js'
import { eigenvaluesOf } from './texture.js'

export interface Spread {
  /** Standard deviation along the worse direction, px. */
  readonly spread: number
  readonly weighing: Weighing
}

/** With errors of variance `more` along both axes, px², beside its own. */
export function widened({ spread, weighing }: Spread, more: number): Spread {
  if (more === 0) return { spread, weighing }
  const [xx, xy, yy] = turnedOver(weighing.shape)
  const s2 = spread * spread
  const wide: Shape = [s2 * xx + more, s2 * xy, s2 * yy + more]
  const [larger] = eigenvaluesOf(wide)
  const shape = turnedOver(wide).map((v) => v * larger) as unknown as Shape
  return { spread: Math.sqrt(larger), weighing: { ...weighing, shape } }
}

function turnedOver([xx, xy, yy]: Shape): Shape {
  const det = xx * yy - xy * xy
  return [yy / det, -xy / det, xx / det]
}

/** How much of its window each has for itself: 1 over how often its texture is looked at, its own time included. */
export function sharesOf(
  marks: readonly { readonly from: Place; readonly look: { readonly window: number } }[],
) {
  return marks.map(({ from, look }) => {
    const { window } = look
    const covered = marks.reduce((sum, other) => {
      const side = (c: 0 | 1) => {
        const apart = Math.abs(other.from[c] - from[c])
        return Math.max(0, Math.min(window, other.look.window, (window + other.look.window) / 2 - apart))
      }
      return sum + side(0) * side(1)
    }, 0)
    return (window * window) / covered
  })
}

/**
 * Variance that each mark gets for where it is supposed to lie on the reference frame, px². Marks that were taken on one later frame
 * err there together, by what the motion of that frame was off: n of them, each with n times that variance, say as much as one of them.
 */
export function takenAt(
  marks: readonly { readonly fromSpread: number; readonly look: { readonly frame: number } }[],
  shares: readonly number[],
): number[] {
  const together = new Map<number, number>()
  for (const [i, { look }] of marks.entries())
    together.set(look.frame, (together.get(look.frame) ?? 0) + (shares[i] as number))
  return marks.map(
    ({ fromSpread, look }) => fromSpread ** 2 * Math.max(1, together.get(look.frame) as number),
  )
}
