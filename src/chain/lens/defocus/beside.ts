/**
 * Softness beside: an element is as soft as what stands where it stands (the place it is compared with).
 *
 * The blur of the element's edges in the finished file, less what is seen of the plate through it, and that of the plate at that place, both as a
 * disc's radius from edges (`edges/measure.ts`). Speaks where one is less than 0.6 of the other and the two lie three of their spreads and 0.7 px
 * apart: sharper always; softer only of what reflects and was blurred by hand or fit, for smoke is soft by itself and so is what moves.
 * Limits: choices.
 */
import { median, type Reading, type Region, spreadOf, told } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, telling } from '../../compare.js'

const SHARE = 0.6
const LEAST_PX = 0.7
const SURE = 3

export interface BlurLook {
  readonly frame: number
  /** Radius in plate px. */
  readonly read: Reading<number>
  readonly region: Region
}

/** @param softer px by which the chain blurred what could be too soft; 0 where that is not asked */
export function compareBeside(
  name: string,
  looks: readonly BlurLook[],
  beside: Reading<number>,
  softer: number,
): Comparison {
  const none = (why: string) => cannotTell('softness', 'lens', why)
  if (!told(beside)) return none(beside.cannotTell)
  const seen = looks.flatMap(({ read, ...rest }) => (told(read) ? [{ ...rest, read }] : []))
  const [one] = seen
  if (one === undefined) {
    const [silent] = looks
    return none(
      silent !== undefined && !told(silent.read) ? silent.read.cannotTell : 'the element was not seen',
    )
  }
  const own = median(seen.map((s) => s.read.value))
  const spread = Math.hypot(spreadOf(beside), median(seen.map((s) => spreadOf(s.read))))
  const [apart, expected] = [own - beside.value, beside.value]
  const measured = { softness: [own] }
  const clear = Math.abs(apart) > Math.max(SURE * spread, LEAST_PX)
  const sharp = own < SHARE * expected
  if (!clear || !(sharp || (softer > 0 && expected < SHARE * own))) return quiet(measured)
  const missing = Math.sqrt(Math.abs(expected ** 2 - own ** 2))
  return telling(
    {
      tell: 'softness',
      link: 'lens',
      frames: seen.map((s) => s.frame),
      region: one.region,
      unit: 'px',
      measured: own,
      expected,
      limit: sharp ? SHARE * expected : expected / SHARE,
      confidence: 0.5,
      sentence: `${name} is ${sharp ? 'sharper' : 'softer'} than what stands beside it: out of focus by a radius of ${own.toFixed(1)} px, that place by ${expected.toFixed(1)} px.`,
      cause: sharp
        ? 'The element is in focus where the plate is not.'
        : 'The element was blurred more than its place asks for.',
      remedy: sharp
        ? `Blur it by a disc of about ${missing.toFixed(1)} px more (lens.blurRadius; radii add by their squares).`
        : `Blur it less (lens.blurRadius, now ${softer.toFixed(1)} px): by about ${Math.sqrt(Math.max(softer ** 2 - missing ** 2, 0)).toFixed(1)} px.`,
      contrast: sharp ? expected / Math.max(own, 0.3) : own / Math.max(expected, 0.3),
    },
    measured,
  )
}
