import type { ProblemDetail } from '../core/index.js'
import type { Shot } from './schema.js'

/** Faults in the shape and the course of a blur. */
export function lensFaults(shot: Shot): ProblemDetail[] {
  return [...blades(shot), ...gradients(shot)]
}

const WIDEST = 128

/** Its memory grows with its radius. */
function gradients({ elements }: Shot): ProblemDetail[] {
  return elements.flatMap((e, i) => {
    const t = e.treatments['lens.blurGradient']
    const radii = t !== undefined && 'value' in t ? [t.value[2] as number, t.value[5] as number] : []
    return radii
      .filter((r) => Math.abs(r) > WIDEST)
      .map((r) => ({
        code: 'shot.blur-gradient',
        what: 'A blur that runs over an element has too wide a radius',
        where: `elements[${i}].treatments["lens.blurGradient"]`,
        expected: `from −${WIDEST} to ${WIDEST} px`,
        received: `${r} px`,
      }))
  })
}

/** An aperture is round, or has three blades or more. */
function blades({ plate }: Shot): ProblemDetail[] {
  const t = plate.treatments['lens.blades']
  const blades = t !== undefined && 'value' in t ? (t.value[0] as number) : 0
  if (blades === 0 || (Number.isInteger(blades) && blades >= 3)) return []
  return [
    {
      code: 'shot.blades',
      what: 'No aperture has this number of blades',
      where: 'plate.treatments["lens.blades"]',
      expected: '0 for a round one, or a whole number from 3 on',
      received: String(blades),
    },
  ]
}
