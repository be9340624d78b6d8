/**
 * Fringes: the plate's lens draws red and blue at other sizes than green, and so it draws an element.
 *
 *   apart = (k − 1) · ρ       k  factor of red or blue      ρ  distance of the element's middle from the picture's   px
 *
 * The element's own edges in the finished file, less what is seen of the plate through it, are measured as the plate's are. Speaks only where the
 * plate's fringe there is 0.3 px or more, and the element's lies 0.3 px and three of its spreads away: choices. Source: the model's.
 */
import { type Reading, type Region, told } from '../../../core/index.js'
import { type Comparison, cannotTell, quiet, type Seen, type SeenElement, telling } from '../../compare.js'
import { type AberrationMeasure, measureAberration } from './measure.js'
import { type Aberration, factorAt } from './model.js'

const LEAST_PX = 0.3
const SURE = 3
const LEAST_COVER = 0.03

export interface FringeLook {
  readonly frame: number
  readonly read: Reading<AberrationMeasure>
  /** px */
  readonly away: number
  /** That in half the picture's short side. */
  readonly radius: number
  readonly region: Region
}

/** Whether a fringe of this lens would be seen there. */
export function showsFringe(lens: Aberration, e: SeenElement, frame: Region): boolean {
  const away = awayOf(e.region, frame)
  return ([0, 1] as const).some(
    (c) => Math.abs(factorAt(lens, c, inUnits(away, frame)) - 1) * away >= LEAST_PX,
  )
}

export function lookAtFringe(seen: Seen, e: SeenElement, halved: { x: boolean; y: boolean }): FringeLook {
  const frame = seen.plate.region
  const data = new Float32Array(seen.renderedCode.data.length)
  for (let p = 0; p < data.length / 4; p++) {
    const [a, light] = [e.alpha[p] as number, e.light[p] as number]
    if (a < LEAST_COVER && light < LEAST_COVER) continue
    for (let i = 4 * p; i < 4 * p + 3; i++)
      data[i] =
        (seen.renderedCode.data[i] as number) - (seen.keep[p] as number) * (seen.plateCode.data[i] as number)
  }
  const read = measureAberration([{ frame: seen.frame, code: { region: frame, data } }], halved)
  const away = awayOf(e.region, frame)
  return { frame: seen.frame, read, away, radius: inUnits(away, frame), region: e.region }
}

function inUnits(away: number, { width, height }: Region): number {
  return (2 * away) / Math.min(width, height)
}

function awayOf(r: Region, frame: Region): number {
  return Math.hypot(r.x + (r.width - frame.width) / 2, r.y + (r.height - frame.height) / 2)
}

/** @param looks none where the lens draws no fringe there */
export function compareFringe(
  name: string,
  looks: readonly FringeLook[],
  lens: Aberration | undefined,
): Comparison {
  if (lens === undefined || looks.length === 0) return quiet()
  const told_ = looks.flatMap(({ read, ...rest }) => (told(read) ? [{ ...rest, value: read.value }] : []))
  const [one] = told_
  if (one === undefined) {
    const why = looks.flatMap(({ read }) => (told(read) ? [] : [read.cannotTell]))[0] ?? ''
    return cannotTell('fringe', 'lens', why)
  }
  const off = (l: typeof one, c: 0 | 1) => (l.value.factors[c] - factorAt(lens, c, l.radius)) * l.away
  const limit = (l: typeof one, c: 0 | 1) =>
    Math.max(LEAST_PX, SURE * (l.value.spreads[c] as number) * l.away)
  const worst = told_
    .flatMap((l) => ([0, 1] as const).map((c) => ({ l, c, by: Math.abs(off(l, c)) / limit(l, c) })))
    .sort((a, b) => b.by - a.by)[0] as { l: typeof one; c: 0 | 1; by: number }
  const { l, c, by } = worst
  const px = (k: number) => (k - 1) * l.away
  const measured = { fringe: l.value.factors.map(px) }
  if (by <= 1) return quiet(measured)
  const colour = ['red', 'blue'][c]
  const wanted = px(factorAt(lens, c, l.radius))
  return telling(
    {
      tell: 'fringe',
      link: 'lens',
      frames: told_.map((t) => t.frame),
      region: l.region,
      unit: 'px',
      measured: px(l.value.factors[c] as number),
      expected: wanted,
      limit: limit(l, c),
      confidence: 0.5,
      sentence: `At ${name} the plate's lens draws ${colour} ${wanted.toFixed(1)} px beside green; the element's edges have ${px(l.value.factors[c] as number).toFixed(1)} px.`,
      cause: "The element's colours never went through the plate's lens.",
      remedy: 'Fit again, so that lens.aberration is known, with the lens done in full for this element.',
      contrast: by,
    },
    measured,
  )
}
