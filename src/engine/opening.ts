/** What the document says of blurs besides their radius: the shape of the plate's lens opening, and a blur that runs over an element. */
import { apertureOf } from '../chain/lens/defocus/apply.js'
import { scaledField } from '../chain/lens/defocus/field.js'
import { type BlurGradient, gradientField } from '../chain/lens/defocus/gradient.js'
import { apertureParams } from '../chain/lens/defocus/params.js'
import type { Aperture, RadiusField } from '../kernels/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'

/** Undefined where every blur is a plain disc. */
export function openingOf({ plate }: Shot): Aperture | undefined {
  const [blades, rotation, squeeze, corner] = apertureParams.map((p) => {
    const t = plate.treatments[p.name as keyof typeof plate.treatments]
    return (t !== undefined && 'value' in t ? t.value[0] : p.default[0]) as number
  })
  return apertureOf(blades as number, rotation as number, squeeze as number, corner as number)
}

/** Undefined where one radius holds for all of the element, or the lens is off. */
export function fieldOf(e: ShotElement, strength: number): RadiusField | undefined {
  const t = e.treatments['lens.blurGradient']
  if (t === undefined || !('value' in t) || strength === 0) return undefined
  return scaledField(gradientField(t.value as unknown as BlurGradient), strength)
}
