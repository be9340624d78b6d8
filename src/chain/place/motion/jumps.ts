/**
 * Jumps: steps from one frame to the next that are out of keeping with those before and after. In v, a step's numbers,
 *
 *   j² = (v − median of the three steps before) · (v − median of the three after), mean along an axis; 0 where it is below 0
 *
 * stands out at a jump alone: where a camera sets off or zooms faster and faster, v lies between the two. A jump has j above what
 * counts at all, above 8 times the shot's median j, above 8 spreads of a step, and above 3 times what the steps around change by from one
 * to the next, as they do in a fast zoom. These limits are ours: a hand's tremor reaches some three times its median.
 */
import { median } from '../../../core/index.js'
import { mixed, type Where } from './path.js'

/** Of a path: fewer px are not seen as a jump on the screen. */
const LEAST_PX = 2
const TIMES = 8
const BESIDE = 3
const TIMES_CHANGE = 3

export interface Outstanding {
  /** Index of the frame after it. */
  readonly at: number
  /** j, in the unit of the steps. */
  readonly by: number
}

/** What a step to a frame is made of: any numbers of one unit. */
export type Numbers = ArrayLike<number>

/**
 * @param path where the corners lie; undefined where it is not known
 * @param spreadPx of each frame
 * @param begins frames with which another picture begins anyway: steps do not cross them
 */
export function jumpsIn(
  path: readonly (Where | undefined)[],
  spreadPx: readonly number[],
  begins: ReadonlySet<number>,
): readonly Outstanding[] {
  const steps = path.map((here, i) => {
    const before = path[i - 1]
    return here && before && !begins.has(i) ? mixed(1, here, -1, before) : undefined
  })
  return outstanding(steps, (i) =>
    Math.max(LEAST_PX, TIMES * Math.max(spreadPx[i] as number, spreadPx[i - 1] ?? 0)),
  )
}

/** @param steps by the frame after them; undefined where not known  @param least j that counts at a frame, at the least */
export function outstanding(
  steps: readonly (Numbers | undefined)[],
  least: (i: number) => number,
): readonly Outstanding[] {
  const out = steps.map((step, i) => {
    const [before, after] = [
      middleStep(steps.slice(Math.max(i - BESIDE, 0), i)),
      middleStep(steps.slice(i + 1, i + 1 + BESIDE)),
    ]
    if (!step || !before || !after) return undefined
    return Math.sqrt(Math.max(0, meanProduct(minus(step, before), minus(step, after))))
  })
  const usual = median(out.filter((j) => j !== undefined))
  return out.flatMap((by, at) =>
    by !== undefined && by > Math.max(least(at), TIMES * usual, TIMES_CHANGE * changeAround(steps, at))
      ? [{ at, by }]
      : [],
  )
}

const minus = (a: Numbers, b: Numbers) => Float64Array.from(a, (v, i) => v - (b[i] as number))

function meanProduct(a: Float64Array, b: Float64Array): number {
  return a.reduce((sum, v, i) => sum + v * (b[i] as number), 0) / a.length
}

/** The most that steps beside this one change by from one to the next. */
function changeAround(steps: readonly (Numbers | undefined)[], at: number): number {
  let most = 0
  for (let i = at - BESIDE + 1; i <= at + BESIDE; i++) {
    const [a, b] = [steps[i - 1], steps[i]]
    if (!a || !b || i === at || i - 1 === at) continue
    const change = minus(b, a)
    most = Math.max(most, meanProduct(change, change))
  }
  return Math.sqrt(most)
}

function middleStep(steps: readonly (Numbers | undefined)[]): Float64Array | undefined {
  const known = steps.filter((s) => s !== undefined)
  const [first] = known
  return first && Float64Array.from(first, (_, i) => median(known.map((s) => s[i] as number)))
}
