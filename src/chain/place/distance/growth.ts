/**
 * Wrong size for its distance, over a shot: an element that does not grow as the ground does on which it stands.
 *
 *   q(n) = (w(n) / w(0)) / Π G      w  width of the element, px     G  growth of the ground across, from frame to frame
 *
 * Upright things and stripes across the ground both come to 1/D in the picture, whatever the camera does; along the line of sight
 * ground shrinks faster, so that only its growth across is compared. Limit: 15 % (a choice: the ground about a foot reaches from
 * nearer to farther than that), and two standard deviations.
 * Source: pinhole projection, [hartley2004 §6.1].
 */
import type { Region } from '../../../core/index.js'
import { type Comparison, quiet, telling } from '../../compare.js'
import { nearest, type Span } from '../slide/model.js'

const LIMIT = 0.15
const SURE = 2

export interface GrowthLook {
  readonly name: string
  readonly spans: readonly Span[]
  /** Width of the element on a frame, px. */
  readonly widthAt: (frame: number) => number
  readonly regionAt: (frame: number) => Region
  /** Another tell names the cause already: it is measured alone. */
  readonly quiet: boolean
}

export function compareGrowth(l: GrowthLook): Comparison {
  const course = courseOf(l)
  const [first] = course
  if (first === undefined) return quiet()
  const worst = course.reduce((a, b) => (away(b.ratio) > away(a.ratio) ? b : a))
  const limit = Math.max(LIMIT, SURE * worst.sd)
  const measured = {
    growth: [worst.ratio],
    groundGrowth: [worst.ground],
    elementGrowth: [worst.ratio * worst.ground],
  }
  if (l.quiet || !(away(worst.ratio) > Math.log(1 + limit))) return quiet(measured)
  const frames = course.filter((c) => away(c.ratio) > Math.log(1 + limit)).map((c) => c.frame)
  const [by, too] = worst.ratio > 1 ? [worst.ratio, 'large'] : [1 / worst.ratio, 'small']
  const times = (v: number) => `${v.toFixed(2)} times`
  return telling(
    {
      tell: 'wrong-size',
      link: 'place',
      frames,
      region: l.regionAt(worst.frame),
      unit: '×',
      measured: worst.ratio * worst.ground,
      expected: worst.ground,
      limit: worst.ground * (worst.ratio > 1 ? 1 + limit : 1 / (1 + limit)),
      confidence: 0.7,
      sentence: `${l.name} does not grow as what it stands on: by frame ${worst.frame} it is ${Math.round(100 * (by - 1))} % too ${too}.`,
      cause: `Its ground comes to ${times(worst.ground)} its width, the element to ${times(worst.ratio * worst.ground)}.`,
      remedy: 'Let it take the size of its track too (`follow.take`), or set keys for its scale.',
      contrast: away(worst.ratio) / Math.log(1 + limit),
    },
    measured,
  )
}

interface Stage {
  readonly frame: number
  readonly ground: number
  readonly ratio: number
  /** Of the ratio, as a share. */
  readonly sd: number
}

function courseOf({ spans, widthAt }: GrowthLook): Stage[] {
  const out: Stage[] = []
  let [ground, own, variance] = [1, 1, 0]
  for (const { frames, grounds } of spans) {
    const g = nearest(grounds)
    if (g === undefined) continue
    const start = widthAt(frames[0] as number)
    frames.forEach((frame, k) => {
      const growth = ground * (g.growth[k] as number)
      const width = own * (widthAt(frame) / start)
      if (width > 0)
        out.push({ frame, ground: growth, ratio: width / growth, sd: Math.sqrt(variance + g.growthSd ** 2) })
    })
    ground *= g.growth.at(-1) ?? 1
    own *= widthAt(frames.at(-1) as number) / start
    variance += g.growthSd ** 2
  }
  return out
}

function away(ratio: number): number {
  return Math.abs(Math.log(ratio))
}
