/**
 * Luminance of a black body of which a camera's file has clipped a channel or more: what the whole channels ask for.
 *
 *   L = v_c / P_c     c: the first whole channel, red before green before blue, that the body's colour holds enough of
 *
 *   P  the body's linear colour at luminance 1 [planck1901]
 *
 * A flame is hotter where it is brighter, so that its blue rises faster than its green. Where that rise was measured on what is
 * whole, B = k · G^p, green beyond the ceiling is read off blue, G = (B / k)^(1/p), and the luminance off that green; a clipped blue gives a lower
 * bound by the same line.
 *
 * Where no channel is whole it is the most that any of them asks for as it stands: a lower bound. The first whole channel is
 * the least noisy one; which share of the colour is enough is a choice.
 */
import { pow, type Rgb } from '../core/index.js'

/** Share of the ceiling from which on a channel counts as clipped: codecs ring and bend there. */
export const NEAR_CEILING = 0.9
/** Least share of the body's colour by which a channel can tell: below, a few kelvin move it by a half. */
const ENOUGH = 0.05

/** How a flame's blue goes with its green, both as shares of the ceiling: B = gain · G^power. */
export interface BlueOfGreen {
  readonly gain: number
  readonly power: number
}

/**
 * @param ceiling linear value where the file's code ends
 * @param rise the flame's blue against its green, where it was measured
 * @returns linear luminance; 0 when no channel is clipped
 */
export function askedLuminance(
  r: number,
  g: number,
  b: number,
  ceiling: number,
  planck: Rgb,
  rise?: BlueOfGreen,
): number {
  const near = NEAR_CEILING * ceiling
  if (r <= near && g <= near && b <= near) return 0
  if (r <= near && planck[0] > ENOUGH) return r / planck[0]
  if (g <= near && planck[1] > ENOUGH) return g / planck[1]
  if (rise !== undefined && planck[1] > ENOUGH) {
    const green = ceiling * pow(Math.max(b, 0) / ceiling / rise.gain, 1 / rise.power)
    return Math.max(green, g) / planck[1]
  }
  if (b <= near && planck[2] > ENOUGH) return b / planck[2]
  return Math.max(asked(r, planck[0]), asked(g, planck[1]), asked(b, planck[2]))
}

function asked(v: number, share: number): number {
  return share > ENOUGH ? v / share : 0
}
