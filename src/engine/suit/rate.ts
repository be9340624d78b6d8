/**
 * Rate: what showing the nearest frame does to the element's motion, by the cadence that the render uses.
 *
 *   step(n) = k(n) − k(n − 1)      k: element frame on plate frame n (`chain/shutter/cadence/model.ts`)
 *   judder  = share of the steps that are not the usual one
 *
 * Limits (choices): judder up to 1 % is not noticed; a frame that stands for three or more is a slide show. A steady hold
 * of two is poor. A steady leaving-out is even, but each frame's motion blur is too short for the plate's rate.
 */
import { elementFrame } from '../../chain/shutter/cadence/model.js'
import type { Rate } from '../../media/index.js'
import { percent } from '../words.js'
import type { Line } from './types.js'
import { cannotTell, judge, short } from './verdict.js'

const LIMITS = { fine: 0.01, poor: 0.5 }
const LONGEST_HOLD = 3
/** Frames told by number before the rest is counted. */
const LISTED = 6

export interface Retime {
  /** Plate frames that show the element frame of the one before. */
  readonly repeated: readonly number[]
  /** Element frames that never show. */
  readonly dropped: readonly number[]
  /** Share of the steps that are not the usual one, 0 to 0.5. */
  readonly judder: number
  /** Plate frames that the longest-held element frame shows. */
  readonly hold: number
  readonly steps: number
}

/** The first `frames` plate frames, as far as the element's `count` frames reach. */
export function retime(element: Rate, plate: Rate, count: number, frames: number): Retime {
  const cadence = { startFrame: 0, trimFrames: 0, element, plate, count }
  const repeated: number[] = []
  const dropped: number[] = []
  const tally = new Map<number, number>()
  let [before, held, hold, steps] = [0, 1, 1, 0]
  for (let n = 1; n < frames; n++) {
    const k = elementFrame(cadence, n)
    if (k === undefined) break
    const step = k - before
    steps++
    tally.set(step, (tally.get(step) ?? 0) + 1)
    if (step === 0) repeated.push(n)
    for (let d = before + 1; d < k; d++) dropped.push(d)
    held = step === 0 ? held + 1 : 1
    hold = Math.max(hold, held)
    before = k
  }
  const usual = Math.max(0, ...tally.values())
  return { repeated, dropped, judder: steps === 0 ? 0 : 1 - usual / steps, hold, steps }
}

/** @param element undefined when its files carry none and none was told; likewise the plate's */
export function rateLine(
  element: Rate | undefined,
  plate: Rate | undefined,
  count: number,
  frames: number,
): Line {
  if (count === 1)
    return { name: 'rate', verdict: 'fine', figure: 'a single picture', why: 'nothing moves in it', worth: 1 }
  if (plate === undefined)
    return cannotTell('rate', 'the plate is picture files, which carry no rate', 'tell --plate-rate')
  if (element === undefined) return cannotTell('rate', 'picture files carry no rate', 'tell --rate')
  const r = retime(element, plate, count, frames)
  const ratio = (element.num * plate.den) / (element.den * plate.num)
  const rates = `${short(element.num / element.den)} frames/s on ${short(plate.num / plate.den)}`
  const even = evenly(r, ratio)
  const base = { name: 'rate', value: r.judder } as const
  if (r.hold >= LONGEST_HOLD)
    return {
      ...base,
      verdict: 'unfit',
      worth: 0.3 / r.hold,
      figure: `held ${r.hold} frames`,
      why: `${rates}: a frame stands for up to ${r.hold} plate frames; ${LONGEST_HOLD} are too many`,
      remedy: 'take it at the rate of the plate or above',
    }
  if (even !== undefined) return { ...base, ...even, why: `${rates}: ${even.why}` }
  return {
    ...base,
    ...judge(r.judder, LIMITS),
    figure: `${percent(r.judder)} judder`,
    why: `${rates}: ${moved(r)}; up to ${percent(LIMITS.fine)} uneven steps is fine`,
    ...(r.judder <= LIMITS.fine ? {} : { remedy: remedyFor(ratio) }),
  }
}

/** Without judder: frame for frame, every second frame, or each frame twice. */
function evenly(r: Retime, ratio: number) {
  if (ratio === 0.5)
    return {
      verdict: 'poor',
      worth: 0.6,
      figure: 'each frame twice',
      why: 'every frame shows twice: the motion steps',
      remedy: 'take it at the rate of the plate or above',
    } as const
  if (r.judder > 0) return undefined
  if (r.dropped.length === 0)
    return {
      verdict: 'fine',
      worth: 1,
      figure: 'frame for frame',
      why: 'no frame is repeated or left out',
    } as const
  const nth = Math.round(ratio)
  return {
    verdict: 'fine',
    worth: 0.95,
    figure: `every ${nth === 2 ? '2nd' : nth === 3 ? '3rd' : `${nth}th`} frame`,
    why: `even steps; its motion blur is ${nth} times too short for this rate`,
  } as const
}

function moved(r: Retime): string {
  const parts = [
    listed(r.repeated, 'plate frame', 'repeats', 'repeat'),
    listed(r.dropped, 'element frame', 'is left out', 'are left out'),
  ].filter((p) => p !== '')
  return parts.length === 0 ? 'no frame is repeated or left out' : parts.join(', ')
}

function listed(numbers: readonly number[], what: string, one: string, many: string): string {
  if (numbers.length === 0) return ''
  const shown = numbers.slice(0, LISTED).join(', ')
  const more = numbers.length > LISTED ? ` and ${numbers.length - LISTED} more` : ''
  return numbers.length === 1 ? `${what} ${shown} ${one}` : `${what}s ${shown}${more} ${many}`
}

function remedyFor(ratio: number): string {
  const off = 1 / ratio - 1
  if (Math.abs(off) <= 0.05)
    return `play it frame for frame: ${percent(Math.abs(off))} ${off > 0 ? 'faster' : 'slower'}, which nobody sees`
  return 'take it at the rate of the plate or a whole multiple of it'
}
