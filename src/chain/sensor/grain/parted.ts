/**
 * Grain of R, G and B as a file's luma and colour have it.
 *
 *   Y′ = Σ k_c e_c      Cb = (e_B − Y′) / (2 − 2 k_B)      Cr = (e_R − Y′) / (2 − 2 k_R)      e_c = s_c n_c
 *
 *   n  noise in light      s  slope of the curve at the channel's level, codes of 0 to 1 a unit of light      k  the matrix' shares
 *
 * Cameras clean colour more than luma, so one channel's σ says little of either. Source: [bt709] for the matrix' form; the variance of
 * sums of correlated numbers.
 */
import type { LumaWeights } from '../../../colour/index.js'
import type { Rgb } from '../../../core/index.js'
import { PAIRS6 } from './cells.js'

/** Covariances RR, GG, BB, RG, RB, GB, in light. */
export type Together = readonly [number, number, number, number, number, number]
/** Variances of R, G, B in light, then of Y′, Cb, Cr in codes. */
export type Powers = Together
export const [LUMA, CB, CR] = [3, 4, 5] as const

/** How a plate's codes hold light. */
export interface Codes {
  /** Codes of 0 to 1 a unit of light, of channel `c` at a level. */
  readonly slope: (c: number, level: number) => number
  readonly luma: LumaWeights
}

/** @param level of R, G, B */
export function powersOf(both: Together, level: Rgb, { slope, luma: { kr, kb } }: Codes): Powers {
  const s = level.map((v, c) => slope(c, v)) as unknown as Rgb
  const y: Rgb = [kr * s[0], (1 - kr - kb) * s[1], kb * s[2]]
  const cb: Rgb = [-y[0], -y[1], s[2] - y[2]]
  const cr: Rgb = [s[0] - y[0], -y[1], -y[2]]
  const of = (w: Rgb) =>
    PAIRS6.reduce((sum, [a, b], i) => sum + (a === b ? 1 : 2) * w[a] * w[b] * (both[i] as number), 0)
  return [
    ...([both[0], both[1], both[2]] as const),
    of(y),
    of(cb) / (2 - 2 * kb) ** 2,
    of(cr) / (2 - 2 * kr) ** 2,
  ]
}

/**
 * Covariances of a fine and a coarse part.
 *
 * @param share of the variance that is coarse @param fine, coarse correlations as `Together`
 */
export function together(
  variance: readonly number[],
  share: readonly number[],
  fine: readonly number[],
  coarse: readonly number[],
): Together {
  return PAIRS6.map(([a, b], i) => {
    const [sa, sb] = [share[a] as number, share[b] as number]
    const alike =
      Math.sqrt((1 - sa) * (1 - sb)) * (fine[i] as number) + Math.sqrt(sa * sb) * (coarse[i] as number)
    return Math.sqrt((variance[a] as number) * (variance[b] as number)) * alike
  }) as unknown as Together
}
