/** A blur whose radius differs from place to place: near over far, as `kernels/layered` says. */
import { around, type FloatImage, type Reach, type Region } from '../../../core/index.js'
import { type Aperture, layeredBlur, layeredReach, type RadiusField } from '../../../kernels/index.js'

const DISC: Aperture = { blades: 0, rotationDeg: 0, squeeze: 1, corner: 0 }

export function fieldReach({ most }: RadiusField, aperture = DISC): Reach {
  return around(layeredReach(most, aperture))
}

/** The same with its radii times a factor. */
export function scaledField({ at, most }: RadiusField, by: number): RadiusField {
  return by === 1 ? { at, most } : { at: (x, y) => by * at(x, y), most: by * most }
}

/** @param frame the plate's picture; @returns the light's region grown by {@link fieldReach}, as far as it is wanted */
export function blurByField(
  light: FloatImage,
  field: RadiusField,
  aperture: Aperture | undefined,
  frame: Region,
  wanted: Region,
): FloatImage {
  return layeredBlur(light, field, aperture ?? DISC, frame, wanted)
}
