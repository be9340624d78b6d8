/**
 * The score that ranks elements for one plate, 0 to 100:
 *
 *   score = 100 · Π worth(line) ^ weight(line)
 *
 * A product, so that one bad fault sinks an element however good the rest is. Worths: `verdict.ts`; what cannot be told
 * counts 0.8. Weights (choices): 1 for what no treatment mends (a cut border, too few pixels, too short, another
 * viewpoint), 0.7 for what a treatment mends in part, 0.4 for what shows on soft or keyed edges alone.
 */
import type { Line, LineName } from './types.js'

const WEIGHTS: Readonly<Record<LineName, number>> = {
  'cut-out': 1,
  size: 1,
  rate: 0.7,
  length: 1,
  'black floor': 0.7,
  noise: 0.7,
  clipping: 0.7,
  border: 1,
  compression: 0.7,
  'bit depth': 0.4,
  'colour sampling': 0.4,
  'camera height': 1,
  'light side': 0.7,
}

export function scoreOf(lines: readonly Pick<Line, 'name' | 'worth'>[]): number {
  return 100 * lines.reduce((product, l) => product * l.worth ** WEIGHTS[l.name], 1)
}
