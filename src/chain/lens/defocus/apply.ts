/** Light out of focus: a disc, or the shape of the lens's opening. */
import type { FloatImage, Region } from '../../../core/index.js'
import { type Aperture, apertureBlur, discBlur } from '../../../kernels/index.js'

type Defocus = (light: FloatImage, radius: number) => FloatImage

/** @param frame the plate's picture, in whose corners the opening is cut */
export function defocusBy(aperture: Aperture | undefined, frame: Region): Defocus {
  return aperture === undefined ? discBlur : (light, radius) => apertureBlur(light, radius, aperture, frame)
}

/** Undefined where the opening is a plain disc. */
export function apertureOf(
  blades: number,
  rotationDeg: number,
  squeeze: number,
  corner: number,
): Aperture | undefined {
  if (blades === 0 && squeeze === 1 && corner === 0) return undefined
  return { blades, rotationDeg, squeeze, corner }
}
