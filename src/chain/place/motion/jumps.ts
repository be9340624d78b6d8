/**
 * Jumps: steps from one frame to the next that are out of keeping with those before and after. In v, the corners' step to a frame,
 *
 *   j² = (v − median of the three steps before) · (v − median of the three after), mean along an axis, px²; 0 where it is below 0
 *
 * stands out at a jump alone: where a camera sets off or zooms faster and faster, v lies between the two. A jump has j above 2 px,
 * above 8 times the shot's median j, above 8 spreads of a step, and above 3 times what the steps around change by from one to the next,
 * as they do in a fast zoom. These limits are ours: a hand's tremor reaches some three times its median, and fewer than 2 px are not seen
 * as a jump on the screen.
 */
import { median } from '../../../core/index.js'
import { meanSquare, mixed, type Where } from './path.js'

const LEAST_PX = 2
const TIMES = 8
const BESIDE = 3
const TIMES_CHANGE = 3

export interface Jump {
  /** Index of the frame after it. */
  readonly at: number
  readonly px: number
}

/**
 * @param path where the corners lie; undefined where it is not known
 * @param spreadPx of each frame
 * @param begins frames with which another picture begins anyway: steps do not cross them
 */
export function jumpsIn(
  path: readonly (Where | undefined)[],
  spreadPx: readonly number[],
  begins: ReadonlySet<number>,
): readonly Jump[] {
  const steps = path.map((here, i) => {
    const before = path[i - 1]
    return here && before && !begins.has(i) ? mixed(1, here, -1, before) : undefined
  })
  const out = steps.map((step, i) => {
    const [before, after] = [
      middleStep(steps.slice(Math.max(i - BESIDE, 0), i)),
      middleStep(steps.slice(i + 1, i + 1 + BESIDE)),
    ]
    if (!step || !before || !after) return undefined
    return Math.sqrt(Math.max(0, meanProduct(mixed(1, step, -1, before), mixed(1, step, -1, after))))
  })
  const usual = median(out.filter((j) => j !== undefined))
  return out.flatMap((j, at) => {
    const noise = Math.max(spreadPx[at] as number, spreadPx[at - 1] ?? 0)
    const least = Math.max(LEAST_PX, TIMES * usual, TIMES * noise, TIMES_CHANGE * changeAround(steps, at))
    return j !== undefined && j > least ? [{ at, px: j }] : []
  })
}

function meanProduct(a: Where, b: Where): number {
  return a.reduce((sum, v, i) => sum + v * (b[i] as number), 0) / a.length
}

/** The most that steps beside this one change by from one to the next, px. */
function changeAround(steps: readonly (Where | undefined)[], at: number): number {
  let most = 0
  for (let i = at - BESIDE + 1; i <= at + BESIDE; i++) {
    const [a, b] = [steps[i - 1], steps[i]]
    if (a && b && i !== at && i - 1 !== at) most = Math.max(most, meanSquare(mixed(1, b, -1, a)))
  }
  return Math.sqrt(most)
}

function middleStep(steps: readonly (Where | undefined)[]): Where | undefined {
  const known = steps.filter((s) => s !== undefined)
  return known[0]?.map((_, i) => median(known.map((s) => s[i] as number)))
}
