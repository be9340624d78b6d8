/**
 * Streaks: what moves is smeared as long as the plate's shutter is open, and so must an element be.
 *
 *   L = v · θ / 360      v  px a frame      θ  the shutter's angle, of the plate and as the finished file shows it  °
 *
 * Speaks where the two lengths are at least 4 px apart in a picture of 1920, one is 1.5 times the other, and they lie three spreads of both
 * apart, on every frame that tells, on the same side. Streaks that would be shorter than 6 px at 180° are not told from softness: softer by a pixel or two makes up for as
 * much. Limits: choices.
 */
import { median, type Reading, type Region, told } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, telling } from '../../compare.js'
import { ASSUMED_ANGLE, streakLength } from '../angle/model.js'
import type { StreakFit } from './measure.js'

const APART_PX = 4
const TIMES = 1.5
const SURE = 3
const SHORTEST_PX = 6
const WIDTH = 1920

export interface StreakLook {
  readonly frame: number
  readonly region: Region
  /** px a frame */
  readonly speed: number
  readonly read: Reading<StreakFit>
}

export interface PlateShutter {
  readonly deg: number
  /** Standard deviation, °. */
  readonly spread: number
  /** `as camera.shutterAngleDeg says` */
  readonly by: string
  readonly confidence: number
}

/** The least speed at which streaks are told, px a frame. */
export const SLOWEST = (SHORTEST_PX * 360) / ASSUMED_ANGLE

/** @param plate or why nothing is known of its shutter */
export function compareStreaks(
  name: string,
  looks: readonly StreakLook[],
  plate: PlateShutter | string,
  plateWidth: number,
): Comparison {
  const cannot = (why: string): Comparison => cannotTell('streak', 'shutter', why)
  if (typeof plate === 'string') return cannot(plate)
  const fast = looks.filter((l) => l.speed >= SLOWEST)
  if (fast.length === 0) {
    const speed = Math.max(...looks.map((l) => l.speed))
    return cannot(
      `it goes by ${speed.toFixed(0)} px a frame at most: too slow for the length of its streaks to be told from softness`,
    )
  }
  const known = fast.flatMap(({ read, ...l }) => (told(read) ? [{ ...l, ...read.value }] : []))
  if (known.length === 0)
    return cannot(fast.flatMap(({ read }) => (told(read) ? [] : [read.cannotTell]))[0] as string)
  const px = known.map(({ speed, deg, spread }) => {
    const [seen, due] = [streakLength(speed, deg), streakLength(speed, plate.deg)]
    return { seen, due, sigma: streakLength(speed, Math.hypot(spread, plate.spread)) }
  })
  const unsure = px.every(({ seen, due, sigma }) => SURE * sigma > Math.max(due, seen) / 2)
  if (unsure) return cannot('its edges do not show how long its streaks are')
  const of = (pick: (l: (typeof px)[number]) => number) => median(px.map(pick))
  const [seen, due, speed] = [of((l) => l.seen), of((l) => l.due), median(known.map((l) => l.speed))]
  const measured = { streak: [seen], streakPlate: [due], streakGoes: [speed] }
  const least = APART_PX * Math.max(1, plateWidth / WIDTH)
  const limitOf = ({ seen, due, sigma }: (typeof px)[number]) =>
    Math.max(least, Math.min(seen, due) * (TIMES - 1), SURE * sigma)
  const side = Math.sign(seen - due)
  if (!px.every((l) => side * (l.seen - l.due) > limitOf(l))) return quiet(measured)
  const limit = of(limitOf)
  const short = side < 0
  return telling(
    {
      tell: 'streak',
      link: 'shutter',
      frames: known.map((l) => l.frame),
      region: (known[0] as (typeof known)[number]).region,
      unit: 'px',
      measured: seen,
      expected: due,
      limit,
      confidence: plate.confidence,
      sentence: `${name} goes by ${speed.toFixed(0)} px a frame: at the plate's ${plate.deg.toFixed(0)}° (${plate.by}) it is smeared over ${due.toFixed(0)} px; here over ${seen.toFixed(0)} px.`,
      cause: short
        ? 'It was blurred as by a shorter shutter than the plate was filmed with, or not at all: it strobes.'
        : 'It was blurred as by a longer shutter than the plate was filmed with: it looks soft where it moves.',
      remedy: `Fit again, so that shutter.angle is the plate's, with the shutter done in full for this element${short ? ', and say the shutter that it was filmed with (filmed.shutterAngleDeg) where it moves by itself' : ''}.`,
      contrast: Math.abs(seen - due) / limit,
    },
    measured,
  )
}
