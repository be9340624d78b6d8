/**
 * Glare: what glass and its coatings scatter out of a bright light into a skirt around it.
 *
 *   K = (1 − e)·δ + e·(G(w) + G(3w)) / 2
 *
 *   e  share of the light that lies in the skirt   –    0 to 0.5
 *   w  width of the skirt's core, G's σ            px
 *   G  Gaussian of sum 1
 *
 * Sums to 1: light is moved, not made. Two widths for a skirt whose foot is longer than a Gaussian's; the wide half is a choice. Real
 * skirts go on for ever, this one ends where its Gaussians do (4.4 σ): what lies beyond is the veil that lifts the whole plate, and is in the plate already.
 *
 * Source: [mccann2007] for scatter as a spread of sum 1; its form: common practice.
 */

export interface Glare {
  readonly share: number
  readonly width: number
}

/** σ of the parts over the width, and how much of the skirt each holds. */
export const PARTS = [
  [1, 0.5],
  [3, 0.5],
] as const
