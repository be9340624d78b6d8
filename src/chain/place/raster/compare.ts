/**
 * Cut border: the element reaches the edge of its own picture inside the frame, so that the edge shows.
 *
 * Along each side of its box, as what carries it and the plate's lens draw it, the change of the picture 2 to 3 pixels inside less
 * that 2 to 3 pixels outside, in code values, means of 24 pixels along the side. Stretches where the element itself holds nothing
 * (another one may), or that lie behind a holdout, are left out. Limit: 0.015 of the code range (a choice).
 */
import type { Region } from '../../../core/index.js'
import { type Comparison, quiet, type Seen, type SeenElement, telling } from '../../compare.js'

const RUN = 24
const LIMIT = 0.015
/** Least coverage or light that counts as something. */
const THERE = 0.004

export interface BorderLook {
  readonly frame: number
  readonly step: number
  readonly region: Region
}

/** The strongest step along the four sides. */
export function lookAtBorder(seen: Seen, e: SeenElement): BorderLook {
  let best: BorderLook = { frame: seen.frame, step: 0, region: { x: 0, y: 0, width: 1, height: 1 } }
  const { left, top, right, bottom } = e.box
  const corners = [
    [left, top],
    [right, top],
    [right, bottom],
    [left, bottom],
  ] as const
  corners.forEach((from, i) => {
    const points = alongSide(e, from, corners[(i + 1) % 4] as Point, seen.plate.region)
    for (let t = 0; t + RUN <= points.length; t += RUN) {
      const run = points.slice(t, t + RUN)
      if (!run.every((p) => p !== undefined)) continue
      const step = runStep(seen, e, run)
      if (step > best.step) best = { frame: seen.frame, step, region: around(run) }
    }
  })
  return best
}

type Point = readonly [number, number]

/** A place on a side, and what lies inward of it by a pixel. */
interface OnSide {
  readonly at: Point
  readonly inward: Point
}

/** Places a pixel apart along a side as it is drawn, the box on the right hand; undefined where the frame does not show it. */
function alongSide(e: SeenElement, from: Point, to: Point, frame: Region): (OnSide | undefined)[] {
  const points: (OnSide | undefined)[] = []
  let [before, since] = [drawnAt(e, from), 0]
  const all = Math.ceil(length(to[0] - from[0], to[1] - from[1]))
  for (let t = 1; t <= all; t++) {
    const share = t / all
    const here = drawnAt(e, [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])])
    const [dx, dy] = [here[0] - before[0], here[1] - before[1]]
    const far = length(dx, dy)
    // Carried away from the camera, many of its pixels are one; near to it, one is many.
    if (far > 0 && far < FAR) {
      for (; since < far; since++) {
        const at: Point = [before[0] + (dx * since) / far, before[1] + (dy * since) / far]
        const one = { at, inward: [-dy / far, dx / far] } as const
        points.push(isSeen(one, frame) ? one : undefined)
      }
      since -= far
    } else if (!(far === 0)) {
      points.push(undefined)
      since = 0
    }
    before = here
  }
  return points
}

const length = (x: number, y: number) => Math.sqrt(x * x + y * y)

/** Pixels of the plate to one of the box beyond which a side is not followed. */
const FAR = 64

/** NaN where the lens does not draw it: far outside the frame its way there folds over. */
function drawnAt({ bend }: SeenElement, [x, y]: Point): Point {
  if (bend === undefined) return [x, y]
  const [u, v] = bend.drawn(x, y)
  const [backX, backY] = bend.straight(u, v)
  return Math.abs(backX - x) < 1 && Math.abs(backY - y) < 1 ? [u, v] : [Number.NaN, Number.NaN]
}

function isSeen({ at, inward }: OnSide, { width, height }: Region): boolean {
  return [-3, 3].every((depth) => {
    const [x, y] = [at[0] + depth * inward[0], at[1] + depth * inward[1]]
    return x >= 0 && y >= 0 && x < width && y < height
  })
}

function runStep(seen: Seen, e: SeenElement, run: readonly OnSide[]): number {
  const { width } = seen.plate.region
  const sum = [0, 0, 0]
  let there = false
  for (const { at, inward } of run) {
    for (const depth of [1.5, 2.5, -1.5, -2.5]) {
      const p = Math.floor(at[1] + depth * inward[1]) * width + Math.floor(at[0] + depth * inward[0])
      if ((e.alpha[p] as number) > THERE || (e.light[p] as number) > THERE) there = true
      if (e.holdout !== undefined && (e.holdout[p] as number) > 0.05) return 0
      for (let c = 0; c < 3; c++) {
        const change =
          (seen.renderedCode.data[4 * p + c] as number) - (seen.plateCode.data[4 * p + c] as number)
        sum[c] = (sum[c] as number) + Math.sign(depth) * change
      }
    }
  }
  return there ? Math.max(...sum.map((v) => Math.abs(v) / (2 * RUN))) : 0
}

/** The pixels of a run, four on each side. */
function around(run: readonly OnSide[]): Region {
  const side = (axis: 0 | 1) => {
    const along = run.map((p) => p.at[axis])
    return [Math.floor(Math.min(...along)) - 4, Math.ceil(Math.max(...along)) + 4] as const
  }
  const [[x, right], [y, bottom]] = [side(0), side(1)]
  return {
    x: Math.max(x, 0),
    y: Math.max(y, 0),
    width: right - Math.max(x, 0),
    height: bottom - Math.max(y, 0),
  }
}

export function compareBorder(name: string, looks: readonly BorderLook[]): Comparison {
  const out = looks.filter((l) => l.step > LIMIT)
  const worst = [...looks].sort((a, b) => b.step - a.step)[0]
  const measured = { border: [worst?.step ?? 0] }
  if (worst === undefined || out.length === 0) return quiet(measured)
  return telling(
    {
      tell: 'cut-border',
      link: 'place',
      frames: out.map((l) => l.frame),
      region: worst.region,
      unit: 'code',
      measured: worst.step,
      expected: 0,
      limit: LIMIT,
      confidence: 0.8,
      sentence: `${name} is cut off by the edge of its own picture.`,
      cause: 'The element touches the border of its file, and that border lies inside the frame.',
      remedy:
        'Move or enlarge it so that the border leaves the frame, start it later, or hide the border behind a holdout.',
      contrast: worst.step / LIMIT,
    },
    measured,
  )
}
