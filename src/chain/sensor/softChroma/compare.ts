/**
 * Colour of an element that is sharper in the finished file than the plate's around it, whose chroma its camera and its file softened.
 *
 *   σ   by how much chroma is softer than luma on edges that step in both (`measure.ts`), px
 *
 * Speaks where the element's is less by 0.5 px, by three spreads of both, and by three times what one part of the plate differs
 * from the rest. Softer colour gives nothing away. Limits: choices.
 */
import { spreadOf, told } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, telling } from '../../compare.js'
import type { Beside } from '../beside.js'
import type { SoftChroma } from './measure.js'

const LEAST_PX = 0.5
const SURE = 3

export function compareSharpColour(
  name: string,
  { element, plate, frames, region }: Beside<SoftChroma>,
): Comparison {
  const none = (why: string) => cannotTell('sharp-colour', 'sensor', why)
  if (!told(plate)) return none(`of the plate around it ${plate.cannotTell}`)
  if (!told(element)) return none(element.cannotTell)
  const [own, due] = [element.value.blur, plate.value.blur]
  const apart = Math.max(
    LEAST_PX,
    SURE * Math.hypot(spreadOf(element), spreadOf(plate)),
    SURE * plate.value.ofPart,
  )
  const measured = { chromaBlur: [own], chromaBlurPlate: [due] }
  if (due - own <= apart) return quiet(measured)
  return telling(
    {
      ...{ tell: 'sharp-colour', link: 'sensor', frames, region, unit: 'px' },
      ...{ measured: own, expected: due, limit: due - apart, confidence: 0.6, contrast: (due - own) / apart },
      sentence: `The colour of ${name} is sharper than the plate's: softer than its luma by ${own.toFixed(1)} px, the plate's by ${due.toFixed(1)} px.`,
      cause: "The plate's camera and its file softened colour, and the element's was not softened with it.",
      remedy:
        'Fit again, so that sensor.chromaBlur is measured; where nobody can tell what the element has of its own, say it (sensor.elementChromaBlur, 0 for colour at every pixel).',
    },
    measured,
  )
}
