/**
 * A track between two of its frames: the cubic through both that leaves each as its neighbours say.
 *
 *   m(t) = m₀ + ½t·(m₁ − m₋₁ + t·(2m₋₁ − 5m₀ + 4m₁ − m₂ + t·(3·(m₀ − m₁) + m₂ − m₋₁)))      number by number, 0 ≤ t ≤ 1
 *
 * A camera has no corners in its way: at the end of a shake its speed is none, which straight lines between frames would miss.
 * Half a frame before the first and after the last it goes straight on; beyond, it stays as the nearest is. Source: [barry1988].
 */
import { type Matrix3, normalised } from '../motion/matrix.js'
import { knownAt, type Track } from './track.js'

export interface Between {
  readonly matrix: Matrix3
  readonly nodes: readonly number[] | undefined
}

/** Exposures of the first and the last frame reach as far beyond them. */
const HALF = 0.5

/** @param n frame, whole or not */
export function between(track: Track, n: number): Between {
  const first = Math.floor(n)
  const t = n - first
  const { frames } = track
  const [begins, ends] = [frames[0]?.frame ?? n, frames.at(-1)?.frame ?? n]
  if (t === 0 || n <= begins - HALF || n >= ends + HALF) {
    const [matrix, nodes] = known(track, n)
    return { matrix, nodes }
  }
  const one = (k: number) => numbersOn(track, first + k, begins, ends)
  const [b, mesh] = one(0)
  const [[a, meshA], [c, meshC], [d, meshD]] = [one(-1), one(1), one(2)]
  const matrix = cubic(a, b, c, d, t) as unknown as Matrix3
  if (mesh === undefined || meshA === undefined || meshC === undefined || meshD === undefined)
    return { matrix, nodes: mesh }
  return { matrix, nodes: cubic(meshA, mesh, meshC, meshD, t) }
}

type Numbers = readonly [matrix: Matrix3, nodes: readonly number[] | undefined]

function numbersOn(track: Track, n: number, first: number, last: number): Numbers {
  if (first === last || (n >= first && n <= last)) return known(track, n)
  const edge = n < first ? first : last
  const [at, inner] = [known(track, edge), known(track, n < first ? first + 1 : last - 1)]
  const on = (a: readonly number[], b: readonly number[]) =>
    a.map((v, i) => v + Math.abs(n - edge) * (v - (b[i] as number)))
  return [on(at[0], inner[0]) as unknown as Matrix3, at[1] && inner[1] && on(at[1], inner[1])]
}

function known(track: Track, n: number): Numbers {
  const { matrix, nodes } = knownAt(track, n)
  return [normalised(matrix), nodes]
}

type List = readonly number[]

function cubic(a: List, b: List, c: List, d: List, t: number): number[] {
  return b.map((m0, i) => {
    const [before, m1, m2] = [a[i] as number, c[i] as number, d[i] as number]
    const third = 3 * (m0 - m1) + m2 - before
    return m0 + 0.5 * t * (m1 - before + t * (2 * before - 5 * m0 + 4 * m1 - m2 + t * third))
  })
}
