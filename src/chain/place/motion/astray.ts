/**
 * When much of what was followed goes another way, what is followed is more than one thing: a shelf behind the edge of a bed. The
 * motion that most of it goes with is that of one of them, and which one changes with what is hidden. So nobody can say that the other
 * one, whose places the outline holds as well, is not meant:
 *
 *   spread² = spread² of the motion · (1 + a·m² / ((1 − a)·r²)) + m²
 *
 *   a  share that goes another way   m  rms of how far off, px   r  rms that the motion leaves of what goes with it, px
 *
 * where it lasts, and farther from the reference frame it is no less, however few of the others are left there: what is taken for the same from then on
 * was found by that motion. Where it is more than a bridge may be off (bridge.ts) the frame counts as lost.
 *
 * The first part is the spread with what goes astray counted as errors, over all that the outline holds; the second one, that they go
 * astray together, so that no number of them takes it away. Below a quarter it is passers-by, reflections and mistakes, and the
 * motion is one thing's: a choice (a bed head that an arm passes before: 0.18 at most; with the shelf behind it: 0.25 to 0.7).
 */
import type { Astray } from './seen.js'

const MUCH = 0.25
/** Of so many frames in a row most must show it: what parts stays apart, one odd frame is a mistake. */
const LASTS = 5
const LEAST_PX = 1e-3

/**
 * Spreads² with what goes astray on these frames or on the way to them, px²; 0 where nothing does.
 *
 * @param variance of each frame's motion, px²  @param rms r on each, px; undefined where it is not known
 * @param astray by frame  @param reference index of the reference frame
 */
export function astrayOutwards(
  variance: readonly number[],
  rms: readonly (number | undefined)[],
  astray: ReadonlyMap<number, Astray>,
  reference: number,
): readonly number[] {
  const out = variance.map(() => 0)
  const much = variance.map((_, i) => (astray.get(i)?.share ?? 0) >= MUCH)
  const lasts = (i: number) => {
    const around = much.slice(Math.max(0, i - (LASTS >> 1)), i + (LASTS >> 1) + 1)
    return 2 * around.filter(Boolean).length > LASTS
  }
  for (const way of [1, -1]) {
    let widest = 0
    for (let i = reference + way; i >= 0 && i < out.length; i += way) {
      if (lasts(i)) widest = Math.max(widest, asWide(variance[i] as number, rms[i], astray.get(i)))
      out[i] = widest
    }
  }
  return out
}

function asWide(variance: number, rmsPx: number | undefined, astray: Astray | undefined): number {
  if (astray === undefined || rmsPx === undefined || astray.share < MUCH) return 0
  const { share, rmsPx: off } = astray
  const times = 1 + (share * off * off) / ((1 - share) * Math.max(rmsPx, LEAST_PX) ** 2)
  return variance * times + off * off
}

/** What is to be said of it to a person. */
export function astraySaid(astray: readonly Astray[]): readonly string[] {
  const much = astray.filter((a) => a.share >= MUCH)
  const most = much.reduce((a, b) => (b.share > a.share ? b : a), { frame: 0, share: 0 })
  if (much.length === 0) return []
  const frames = much.length === 1 ? `frame ${most.frame}` : `${much.length} frames (most on ${most.frame})`
  return [
    `On ${frames} up to ${Math.round(100 * most.share)} % of what was followed goes another way: the region holds things at several distances, or one of them moves. Draw it about the one that is meant.`,
  ]
}
