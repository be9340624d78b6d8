/**
 * The swing of an element's edges in the finished file, against that of the plate's around it: what its camera's sharpening makes of an
 * edge as wide as the element's.
 *
 *   due = overshoot of the plate's amount and radius at the width of the element's edges (`model.ts`)
 *
 * Speaks where the two lie 0.05 of the step and three spreads of both apart, and three times what one part of the plate differs from the
 * rest. Told of edges whose widths are within a factor of 1.6 of the plate's alone: one amount and radius out of the many that make the
 * plate's swing is taken, and further off they part. What they part by counts as spread, a half of it. Limits: choices.
 */
import { spreadOf, told } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, telling } from '../../compare.js'
import type { Beside } from '../beside.js'
import { overshootAt, type SharpeningMeasure } from './measure.js'

const LEAST = 0.05
const SURE = 3
const ALIKE = 1.6

export function compareOvershoot(name: string, look: Beside<SharpeningMeasure>): Comparison {
  const none = (why: string) => cannotTell('edge-overshoot', 'sensor', why)
  const { element, plate, frames, region } = look
  if (!told(plate)) return none(`of the plate around it ${plate.cannotTell}`)
  if (!told(element)) return none(element.cannotTell)
  const { overshoot: own, width } = element.value
  const wider = width / plate.value.width
  if (wider > ALIKE || wider < 1 / ALIKE)
    return none(
      `its edges are ${wider.toFixed(1)} × as wide as the plate's: the same sharpening shows otherwise on them`,
    )
  const norm = overshootAt(plate, width)
  const due = norm.value
  const spread = Math.hypot(spreadOf(element), spreadOf(norm))
  const limit = Math.max(LEAST, SURE * spread, SURE * plate.value.ofPart)
  const measured = { overshoot: [Math.max(own, 0)], overshootDue: [Math.max(due, 0)] }
  if (Math.abs(own - due) <= limit) return quiet(measured)
  const percent = (v: number) => `${Math.round(100 * Math.max(v, 0))} %`
  return telling(
    {
      ...{ tell: 'edge-overshoot', link: 'sensor', frames, region, unit: 'share' },
      ...{ measured: own, expected: due, limit, confidence: 0.6, contrast: Math.abs(own - due) / limit },
      sentence: `The edges of ${name} swing ${percent(own)} of their step beyond their sides, where the plate's would by ${percent(due)}.`,
      ...(own < due
        ? {
            cause: "The plate's camera sharpened after its curve, and the element's edges were not.",
            remedy:
              'Fit again, so that sensor.overshoot is measured; where nobody can tell what the element has of its own, say it (sensor.elementOvershoot, 0 for what no camera filmed).',
          }
        : {
            cause: 'It was sharpened more than the plate: by its own camera, or twice.',
            remedy:
              "Lower sensor.overshoot where that is set by hand, or say how far the element's own edges swing (sensor.elementOvershoot); else take a softer element.",
          }),
    },
    measured,
  )
}
