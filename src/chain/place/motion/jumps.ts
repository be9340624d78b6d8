/**
 * Jumps: steps from one frame to the next that are out of keeping with those before and after. In v, the corners' step to a frame,
 *
 *   j = min( |v − median of the three steps before|, |v − median of the three after| )        root mean square along an axis, px
 *
 * stands out at a jump alone: where a camera sets off, v lies between the two. A jump has j above 2 px, above 8 times the shot's
 * median j, and above 8 spreads of a step. These limits are ours: a hand's tremor reaches some three times its median, and fewer than 2 px
 * are not seen as a jump on the screen.
 */
import { median } from '../../../core/index.js'
import { meanSquare, mixed, type Where } from './path.js'

const LEAST_PX = 2
const TIMES = 8
const BESIDE = 3

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
    return Math.sqrt(Math.min(meanSquare(mixed(1, step, -1, before)), meanSquare(mixed(1, step, -1, after))))
  })
  const usual = median(out.filter((j) => j !== undefined))
  return out.flatMap((j, at) => {
    const noise = Math.max(spreadPx[at] as number, spreadPx[at - 1] ?? 0)
    return j !== undefined && j > Math.max(LEAST_PX, TIMES * usual, TIMES * noise) ? [{ at, px: j }] : []
  })
}

function middleStep(steps: readonly (Where | undefined)[]): Where | undefined {
  const known = steps.filter((s) => s !== undefined)
  return known[0]?.map((_, i) => median(known.map((s) => s[i] as number)))
}
