/**
 * What the file's coding leaves of the element: bits really used (the meter of `diagnose`), colour sampling.
 *
 *   step = decode(c + 1 code) − decode(c) at the element's middle level, after the gain; hidden when step ≤ 2 σ of the plate's grain
 *   colour edge = chroma step · scale, in plate pixels
 *
 * A noise of half a step hides the step (dither, [schuchman1964]); so grain of σ hides steps up to 2 σ. Limits (choices): a step
 * up to 8 σ is poor; a colour edge of one plate pixel is fine, of two poor.
 */
import { type PixelLayout, type Reading, told } from '../../core/index.js'
import type { Finding } from '../diagnose/finding.js'
import type { KeyColour } from '../diagnose/keyGround.js'
import type { Line } from './types.js'
import { cannotTell, judge, short } from './verdict.js'

const STEP = { fine: 2, poor: 8 }
const COLOUR_EDGE = { fine: 1, poor: 2 }

/** Bits that the samples really use; those of the file where that cannot be told. */
export function bitsUsed(layout: PixelLayout, finding: Finding | undefined): number {
  const used = finding?.verdict === 'fault' ? finding.numbers.bitsUsed : undefined
  return typeof used === 'number' ? used : layout.bits
}

/**
 * @param finding on the bits really used; absent of float files
 * @param step linear light of one code of the bits used at the element's middle, after its gain; undefined when it shows nothing
 */
export function depthLine(
  layout: PixelLayout,
  finding: Finding | undefined,
  step: number | undefined,
  grain: Reading<{ readonly sigma: number; readonly where: string }>,
): Line {
  const bits = bitsUsed(layout, finding)
  const fewer = bits < layout.bits
  const figure = layout.float ? 'float' : fewer ? `${bits} of ${layout.bits} bits` : `${layout.bits} bit`
  const base = { name: 'bit depth', figure, value: bits } as const
  if (layout.float) return { ...base, verdict: 'fine', worth: 1, why: 'float holds its gradients' }
  const used = fewer ? `only ${bits} of its ${layout.bits} bits are used; ` : ''
  if (bits >= 10)
    return { ...base, verdict: 'fine', worth: 1, why: `${used}ten bits or more hold its gradients` }
  if (step === undefined)
    return {
      ...cannotTell('bit depth', `${used}${bits} bits, and it shows nothing on the frames looked at`),
      figure,
    }
  if (!told(grain)) {
    const why = `${used}${bits} bits band unless grain hides them; the plate's grain: ${grain.cannotTell}`
    return { ...cannotTell('bit depth', why), figure }
  }
  const ratio = step / grain.value.sigma
  return {
    ...base,
    ...judge(ratio, STEP),
    why: `${used}one of its codes is ${short(ratio)} σ of the plate's grain ${grain.value.where}; grain hides up to ${STEP.fine} σ, up to ${STEP.poor} σ is poor`,
    ...(ratio <= STEP.fine
      ? {}
      : {
          remedy: fewer
            ? 'get it as it was made, before it went through 8 bits: its soft gradients would band'
            : 'get it in ten bits or more: its soft gradients would band',
        }),
  }
}

/** @param key colour of the screen that it stands before, when it has one */
export function samplingLine(
  layout: PixelLayout,
  key: KeyColour | undefined,
  scale: number | undefined,
): Line {
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
