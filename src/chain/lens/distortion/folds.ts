/** When the search for a point's place ends, and what is said where there is none. */
import { Problem } from '../../../core/index.js'

export const LAST_STEP = 1e-10
export const MOST_STEPS = 32

export function foldsOver(received: string): Problem {
  return new Problem({
    code: 'lens.distortion-folds',
    what: 'This distortion folds the picture over',
    where: 'plate lens.distortion',
    expected: 'one point of the scene for each point of the picture',
    received,
    remedy: 'Check the form, the order of its numbers and the unit: 1 is half the short side of the picture.',
  })
}
