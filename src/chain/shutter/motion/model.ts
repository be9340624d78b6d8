/**
 * How much of an element's own grain is left where the exposure runs over it: the sum of the squares of a streak's weights.
 *
 *   s(L) = ∫ (box_L ∗ tent)² = (1 − 7/(15·L)) / L, L ≥ 2      straight between s(0) = 1 and s(2) below
 *
 *   L  length of the streak, px
 *
 * Of grain without correlation. Source: variances of independent noises add; moments of the cubic B-spline.
 */
export function grainKept(length: number): number {
  const far = (l: number) => (1 - 7 / (15 * l)) / l
  return length >= 2 ? far(length) : 1 + (length / 2) * (far(2) - 1)
}
