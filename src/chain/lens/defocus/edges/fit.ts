/**
 * The blur of one edge: its profile held against a step blurred by each size.
 *
 *   v(s) = a + b s + c E(s − s₀)       least squares in a, b, c for each size and s₀
 *
 * A slope b beside the edge is held near nothing, as strong as a tenth of the step over half the window: light seldom falls faster by
 * itself, and a wide blur must not be taken for one.
 */

import type { Profile } from './profile.js'
import type { EdgeSpread } from './spread.js'

export interface EdgeFit {
  readonly size: number
  /** Height of the step. */
  readonly step: number
  /** Sum of squared residuals, and how many bins. */
  readonly squares: number
  readonly bins: number
  /** Root mean square of the residuals as a share of the step. */
  readonly off: number
}

const SHIFTS = [-1.25, -1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1, 1.25]
const SLOPE = 0.1

/** @param family sizes ascending, each by the same factor; undefined where the profile holds no step up */
export function fitEdge(
  profile: Profile,
  across: number,
  family: readonly EdgeSpread[],
): EdgeFit | undefined {
  const tried = family.map((e) => bestShift(profile, across, e))
  let best = 0
  tried.forEach((t, i) => {
    if (t.squares < (tried[best] as Tried).squares) best = i
  })
  const at = tried[best] as Tried
  if (!(at.step > 0)) return undefined
  const [before, after] = [tried[best - 1], tried[best + 1]]
  const bend = before && after ? before.squares + after.squares - 2 * at.squares : 0
  const by = before && after && bend > 0 ? (0.5 * (before.squares - after.squares)) / bend : 0
  const ratio = (family[1] as EdgeSpread).size / (family[0] as EdgeSpread).size
  const bins = profile.s.length
  return {
    size: (family[best] as EdgeSpread).size * ratio ** Math.min(Math.max(by, -0.5), 0.5),
    ...{ step: at.step, squares: at.squares, bins },
    off: Math.sqrt(at.squares / bins) / at.step,
  }
}

interface Tried {
  readonly squares: number
  readonly step: number
}

function bestShift(profile: Profile, across: number, e: EdgeSpread): Tried {
  let best: Tried = { squares: Number.POSITIVE_INFINITY, step: 0 }
  for (const shift of SHIFTS) {
    const one = solved(profile, across, e, shift)
    if (one.squares < best.squares) best = one
  }
  return best
}

function solved({ s, value }: Profile, across: number, e: EdgeSpread, shift: number): Tried {
  const n = s.length
  let [s1, e1, v1] = [0, 0, 0]
  const spread = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    spread[i] = e.at(s[i]! - shift)
    s1 += s[i]!
    e1 += spread[i]!
    v1 += value[i]!
  }
  let [ss, se, ee, sv, ev, vv] = [0, 0, 0, 0, 0, 0]
  for (let i = 0; i < n; i++) {
    const [ds, de, dv] = [s[i]! - s1 / n, spread[i]! - e1 / n, value[i]! - v1 / n]
    ss += ds * ds
    se += ds * de
    ee += de * de
    sv += ds * dv
    ev += de * dv
    vv += dv * dv
  }
  const plain = ev / ee
  // Weight of the prior: residuals of 2 % of the step against slopes of SLOPE of it over the half window.
  const held = ss + ((0.02 / SLOPE) * across) ** 2
  const det = held * ee - se * se
  const c = (held * ev - se * sv) / det
  const b = (ee * sv - se * ev) / det
  const squares = vv - 2 * (b * sv + c * ev) + b * b * ss + 2 * b * c * se + c * c * ee
  return plain > 0 ? { squares: Math.max(squares, 0), step: c } : { squares: vv, step: 0 }
}
