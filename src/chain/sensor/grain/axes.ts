/**
 * The three axes along which grain is made: a spectrum and a mixing out of what R, G and B show.
 *
 *   u_0, u_1, u_2   sums of the channels, each less what the ones before say of it      n = Σ M_j u_j / σ_j
 *
 * Either luma (R + G + B), then blue, then red, as a camera's file has them; or R, G, B one by one, as a sensor has them. What is
 * nearer to the correlations measured is taken:
 *
 *   miss = Σ over lags, pairs of channels (Σ_j M_aj M_bj ρ_j(lag) − C_ab(lag))²
 *
 * Source: Gram–Schmidt over covariances [golub2013 §4.2]; the choice: common practice (chroma of video is coarser than luma).
 */
import { type GrainTaps, type Mixing, tapsFor } from '../../../kernels/index.js'

/** Of R, G, B (at 0), and of pairs of them at the four lags of `params.ts`. */
export interface Covariances {
  /** Correlations RG, RB, GB. */
  readonly mix: readonly number[]
  /** Four lags of R, of G, of B. */
  readonly own: readonly number[]
  /** Four lags of RG, of RB, of GB; none: as alike as the channels are. */
  readonly cross: readonly number[]
}

export interface Axes {
  readonly taps: readonly [GrainTaps, GrainTaps, GrainTaps]
  readonly mixing: Mixing
}

type Matrix = readonly (readonly number[])[]

const ONE_BY_ONE: Matrix = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
]
const LUMA_FIRST: Matrix = [
  [1, 1, 1],
  [0, 0, 1],
  [1, 0, 0],
]
const LAGS = [0, 1, 2, 3]
/** Of the channels' variance, below which an axis holds nothing. */
const NOTHING = 1e-6

export function axesOf(c: Covariances): Axes {
  const now = matrixOf(c, -1)
  const away = LAGS.map((k) => matrixOf(c, k))
  const [plain, luma] = [along(ONE_BY_ONE, now, away), along(LUMA_FIRST, now, away)]
  const best = luma.miss < plain.miss - 1e-9 ? luma : plain
  const taps = best.lags.map(([x1, x2, y1, y2]): GrainTaps => ({ x: tapsFor(x1, x2), y: tapsFor(y1, y2) }))
  return { taps: taps as unknown as Axes['taps'], mixing: best.mixing }
}

/** @param lag which of the four, −1 for the pixel itself */
function matrixOf({ mix, own, cross }: Covariances, lag: number): Matrix {
  const at = (list: readonly number[], i: number) => list[i] ?? 0
  const alone = (c: number) => (lag < 0 ? 1 : at(own, 4 * c + lag))
  const pair = (i: number, a: number, b: number) => {
    if (lag < 0) return at(mix, i)
    return cross.length > 0 ? at(cross, 4 * i + lag) : (at(mix, i) * (alone(a) + alone(b))) / 2
  }
  const [rg, rb, gb] = [pair(0, 0, 1), pair(1, 0, 2), pair(2, 1, 2)]
  return [
    [alone(0), rg, rb],
    [rg, alone(1), gb],
    [rb, gb, alone(2)],
  ]
}

interface Along {
  readonly mixing: number[]
  readonly lags: readonly [number, number, number, number][]
  readonly miss: number
}

function along(order: Matrix, now: Matrix, away: readonly Matrix[]): Along {
  const axes: { u: number[]; variance: number }[] = []
  for (const start of order) {
    const u = [...start]
    for (const { u: before, variance } of axes) {
      if (variance === 0) continue
      const by = form(start, now, before) / variance
      before.forEach((v, i) => {
        u[i] = (u[i] as number) - by * v
      })
    }
    const variance = form(u, now, u)
    axes.push({ u, variance: variance > NOTHING ? variance : 0 })
  }
  const gives = (c: number) =>
    axes.map(({ u, variance }) =>
      variance === 0 ? 0 : form(ONE_BY_ONE[c] as number[], now, u) / Math.sqrt(variance),
    )
  // Correlations that no three channels can have together leave a channel too much or too little.
  const rows = [0, 1, 2].map((c) => {
    const row = gives(c)
    const size = Math.hypot(...row)
    return size === 0 ? [1, 0, 0] : row.map((v) => v / size)
  })
  const lags = axes.map(({ u, variance }) =>
    away.map((m) => (variance === 0 ? 0 : Math.min(Math.max(form(u, m, u) / variance, -1), 1))),
  )
  let miss = 0
  for (const k of LAGS)
    for (let a = 0; a < 3; a++)
      for (let b = a; b < 3; b++) {
        const made = [0, 1, 2].reduce(
          (sum, j) => sum + (rows[a]?.[j] as number) * (rows[b]?.[j] as number) * (lags[j]?.[k] as number),
          0,
        )
        miss += (made - (away[k]?.[a]?.[b] as number)) ** 2
      }
  return { mixing: rows.flat(), lags: lags as unknown as Along['lags'], miss }
}

/** uᵀ M v */
function form(u: readonly number[], m: Matrix, v: readonly number[]): number {
  let sum = 0
  for (let i = 0; i < 3; i++)
    for (let k = 0; k < 3; k++) sum += (u[i] as number) * (m[i]?.[k] as number) * (v[k] as number)
  return sum
}
