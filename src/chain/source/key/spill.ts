/**
 * Spill: light of the screen on the element, taken off as light.
 *
 *   F = C − t·B      t the least that leaves the screen's key channel no higher than max((a + b) / 2, 0.82 max(a, b)) of the others
 *
 *   B  the screen's light; its key channel is green, else blue, else red, the first above 0.7 of its brightest
 *
 * Nothing that is lit by other light alone holds more of that channel by itself than leaves and grass do; skin, whose green lies between
 * the mean of its red and blue and 0.82 of its red, keeps its colour. The average rule: common practice; 0.82: sunlit skin, common practice.
 */
import type { Rgb } from '../../../core/index.js'

const SKIN = 0.82
/** A yellow screen is told by its green: of red there is much in skin. */
const KEYS = [1, 2, 0] as const
const BRIGHT = 0.7

/** A screen of less, (most − least) / most, has no hue: its light on the element looks like any other. */
const HUE = 0.3

export function hasHue(screen: Rgb): boolean {
  const most = Math.max(screen[0], screen[1], screen[2])
  return most - Math.min(screen[0], screen[1], screen[2]) > HUE * most
}

/** Share of the screen's light that is in a colour: the least that leaves none of its hue; 1 of the screen itself, 0 of what has none. */
export function shareOfScreen(r: number, g: number, b: number, screen: Rgb): number {
  const f = [r, g, b] as const
  const most = Math.max(screen[0], screen[1], screen[2])
  if (!(most > 0) || !hasHue(screen)) return 0
  const key = KEYS.find((c) => screen[c] > BRIGHT * most) ?? 0
  const [p, q] = key === 1 ? ([0, 2] as const) : key === 2 ? ([0, 1] as const) : ([1, 2] as const)
  const byMean =
    (f[key] - (f[p] + f[q]) / 2) / Math.max(screen[key] - (screen[p] + screen[q]) / 2, 0.05 * most)
  const strong = f[p] > f[q] ? p : q
  const byMost = (f[key] - SKIN * f[strong]) / Math.max(screen[key] - SKIN * screen[strong], 0.05 * most)
  return Math.max(Math.min(byMean, byMost), 0)
}

/** In place on a straight colour. @param share of the spill that is taken, 0 to 1 */
export function takeSpill(f: [number, number, number], screen: Rgb, share: number): void {
  const t = share * shareOfScreen(f[0], f[1], f[2], screen)
  for (const c of [0, 1, 2] as const) f[c] = Math.max(f[c] - t * screen[c], 0)
}
