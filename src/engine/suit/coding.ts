/**
 * What the file's coding leaves of the element: bit depth, colour sampling.
 *
 *   step = decode(c + 1 code) − decode(c) at the element's middle level, after the gain; hidden when step ≤ 2 σ of the plate's grain
 *   colour edge = chroma step · scale, in plate pixels
 *
 * A noise of half a step hides the step (dither, [schuchman1964]); so grain of σ hides steps up to 2 σ. Limits (choices): a step
 * up to 8 σ is poor; a colour edge of one plate pixel is fine, of two poor.
 */
import { type PixelLayout, type Reading, told } from '../../core/index.js'
import type { Key } from './cutout.js'
import type { Line } from './types.js'
import { cannotTell, judge, short } from './verdict.js'

const STEP = { fine: 2, poor: 8 }
const COLOUR_EDGE = { fine: 1, poor: 2 }

/** @param step linear light of one code at the element's middle, after its gain; undefined when it shows nothing */
export function depthLine(
  layout: PixelLayout,
  step: number | undefined,
  grain: Reading<{ readonly sigma: number; readonly where: string }>,
): Line {
  const bits = layout.float ? 'float' : `${layout.bits} bit`
  const base = { name: 'bit depth', figure: bits, value: layout.bits } as const
  if (layout.float || layout.bits >= 10)
    return { ...base, verdict: 'fine', worth: 1, why: 'ten bits or more hold its gradients' }
  if (step === undefined)
    return cannotTell('bit depth', '8 bits, and it shows nothing on the frames looked at')
  if (!told(grain))
    return {
      ...cannotTell(
        'bit depth',
        `8 bits band unless grain hides them; the plate's grain: ${grain.cannotTell}`,
      ),
      figure: bits,
    }
  const ratio = step / grain.value.sigma
  return {
    ...base,
    ...judge(ratio, STEP),
    why: `one of its codes is ${short(ratio)} σ of the plate's grain ${grain.value.where}; grain hides up to ${STEP.fine}, up to ${STEP.poor} is poor`,
    ...(ratio <= STEP.fine ? {} : { remedy: 'get it in ten bits or more: its soft gradients would band' }),
  }
}

/** @param key colour of the screen that it stands before, when it has one */
export function samplingLine(layout: PixelLayout, key: Key | undefined, scale: number | undefined): Line {
  const step = layout.family === 'rgb' ? 1 : 1 << Math.max(layout.subX, layout.subY)
  const name = samplingName(layout)
  const base = { name: 'colour sampling', figure: name } as const
  if (key === undefined)
    return {
      ...base,
      verdict: 'fine',
      worth: step === 1 ? 1 : 0.95,
      why: 'not to be keyed: no edge is cut from its colour',
    }
  if (step === 1)
    return { ...base, verdict: 'fine', worth: 1, why: `full colour for the ${key} screen's edge` }
  if (scale === undefined)
    return {
      ...cannotTell(
        'colour sampling',
        `${name}: the ${key} screen's edge is coarse by ${step} of its own pixels`,
        'tell how large it stands',
      ),
      figure: name,
    }
  const edge = step * scale
  return {
    ...base,
    ...judge(edge, COLOUR_EDGE),
    value: edge,
    why: `${name}: the ${key} screen's edge is coarse by ${short(edge)} plate px; ${COLOUR_EDGE.fine} is fine, ${COLOUR_EDGE.poor} poor`,
    ...(edge <= COLOUR_EDGE.fine ? {} : { remedy: 'get it in 4:4:4, or stand it smaller' }),
  }
}

function samplingName(l: PixelLayout): string {
  if (l.family === 'rgb') return 'RGB'
  if (l.subX === 2) return '4:1:1'
  if (l.subX === 0) return l.subY ? '4:4:0' : '4:4:4'
  return l.subY ? '4:2:0' : '4:2:2'
}
