/**
 * Lateral chromatic aberration: the lens draws red and blue at other sizes than green.
 *
 *   r_red = k_red · r     r_blue = k_blue · r
 *
 *   r  distance from the picture's centre at which green lies, after distortion     k  factor, 1 is no aberration
 *
 * Holds for the linear part of the aberration; what grows with r² and r³ is left. Source: [lensfun-db], the linear model.
 */

/** Factors of red and blue. */
export type Aberration = readonly [number, number]

/** Where green lies whose red, green or blue lies at `v`; both from the centre. */
export function greenOf(aberration: Aberration, channel: 0 | 1 | 2, v: number): number {
  if (channel === 1) return v
  return v / aberration[channel === 0 ? 0 : 1]
}
