/**
 * The blur of one edge: its profile held against a step blurred by each size.
 *
 *   v(s) = a + b s + c E(s − s₀)       least squares in a, b, c for each size and s₀
 *
 * A slope b beside the edge is held near nothing, as strong as a tenth of the step over half the window: light seldom falls faster by
 * itself, and a wide blur must not be taken for one.
 */

import type { Profile } from '../../../../kernels/index.js'
import { type EdgeSpread, SHIFTS } from './spread.js'

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

const SLOPE = 0.1

/** @param family sizes ascending, each by the same factor; undefined where the profile holds no step up */
export function fitEdge(
  profile: Profile,
  across: number,
  family: readonly EdgeSpread[],
): EdgeFit | undefined {
  const middled = centred(profile, across)
  let from = SHIFTS.length >> 1
  const tried = family.map((e) => {
    const one = bestShift(middled, e, from)
    from = one.shift
    return one
  })
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
  /** Which of SHIFTS. */
  readonly shift: number
}

/** A profile less its means, and what of the squares no size changes. */
interface Centred {
  readonly s: Float64Array
  readonly ds: Float64Array
  readonly dv: Float64Array
  readonly ss: number
  readonly sv: number
  readonly vv: number
  /** Weight of the prior: residuals of 2 % of the step against slopes of SLOPE of it over the half window. */
  readonly held: number
}

function centred({ s, value }: Profile, across: number): Centred {
  const n = s.length
  let [s1, v1] = [0, 0]
  for (let i = 0; i < n; i++) {
    s1 += s[i]!
    v1 += value[i]!
  }
  const [ds, dv] = [s.map((x) => x - s1 / n), value.map((x) => x - v1 / n)]
  let [ss, sv, vv] = [0, 0, 0]
  for (let i = 0; i < n; i++) {
    ss += ds[i]! * ds[i]!
    sv += ds[i]! * dv[i]!
    vv += dv[i]! * dv[i]!
  }
  return { s, ds, dv, ss, sv, vv, held: ss + ((0.02 / SLOPE) * across) ** 2 }
}

/** Downhill from the best shift of the size before: a step's squares have one hollow over the few pixels asked. */
function bestShift(profile: Centred, e: EdgeSpread, from: number): Tried {
  let best = solved(profile, e, from)
  for (const way of [1, -1])
    for (let shift = best.shift + way; shift >= 0 && shift < SHIFTS.length; shift += way) {
      const one = solved(profile, e, shift)
      if (!(one.squares < best.squares)) break
      best = one
    }
  return best
}

function solved({ s, ds, dv, ss, sv, vv, held }: Centred, { at }: EdgeSpread, shift: number): Tried {
  const n = s.length
  const by = SHIFTS[shift] as number
  let [e1, e2, se, ev] = [0, 0, 0, 0]
  for (let i = 0; i < n; i++) {
    const e = at(s[i]! - by)
    e1 += e
    e2 += e * e
    se += ds[i]! * e
    ev += dv[i]! * e
  }
  const ee = e2 - (e1 * e1) / n
  if (!(ev > 0)) return { squares: vv, step: 0, shift }
  const det = held * ee - se * se
  const c = (held * ev - se * sv) / det
  const b = (ee * sv - se * ev) / det
  const squares = vv - 2 * (b * sv + c * ev) + b * b * ss + 2 * b * c * se + c * c * ee
  return { squares: Math.max(squares, 0), step: c, shift }
}
