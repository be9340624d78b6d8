/**
 * One number a pixel for what asks for the shape of a picture, its edges, skirts and slopes, and not for its amount of light (`luminanceRow`).
 *
 *   0.25 · R + 0.6 · G + 0.15 · B
 *
 * Of light or of code values, in any primaries: a lens gives grey things one shape in every channel, so weights that add up to 1 tell it alike. These
 * lie about luma's, with more of blue, which luma all but leaves out: a blue edge or light has to be seen too. A choice.
 */
export function brightness(r: number, g: number, b: number): number {
  return 0.25 * r + 0.6 * g + 0.15 * b
}
