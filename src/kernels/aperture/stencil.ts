/**
 * Weights of an aperture's shape: the share of each pixel that it covers, over their sum.
 *
 * A row is a run of wholly covered pixels between partly covered ones: its edges. Shares are exact along x, by the midpoint rule along y.
 */
import { type Aperture, apertureSpans, PARTS } from './shape.js'

/** Pixels count from the one that is spread; `share` begins at pixel `first`. */
export interface CoveredRow {
  readonly row: number
  readonly first: number
  readonly share: readonly number[]
}

/** @param radius px, above 0; @param toward of the frame's middle from here, in half diagonals */
export function coveredRows(a: Aperture, radius: number, toward: readonly [number, number]): CoveredRow[] {
  const byRow = new Map<number, [number, number][]>()
  for (const { row, from, to } of apertureSpans(a, radius, toward))
    byRow.set(row, [...(byRow.get(row) ?? []), [from + 0.5, to + 0.5]])
  return [...byRow].map(([row, spans]) => {
    const first = Math.floor(Math.min(...spans.map(([from]) => from)))
    const end = Math.ceil(Math.max(...spans.map(([, to]) => to)))
    const share = Array.from({ length: end - first }, (_, i) =>
      spans.reduce((sum, [from, to]) => sum + inPixel(from, to, first + i), 0),
    )
    return { row, first, share }
  })
}

function inPixel(from: number, to: number, x: number): number {
  return Math.max(Math.min(to, x + 1) - Math.max(from, x), 0) / PARTS
}

export interface StencilRow {
  readonly row: number
  /** Pixels from `from` to before `to` are wholly covered. */
  readonly from: number
  readonly to: number
  /** Pixel and weight of each that is partly covered. */
  readonly edges: readonly (readonly [number, number])[]
}

export interface Stencil {
  /** Weight of a wholly covered pixel, in single precision. */
  readonly weight: number
  readonly rows: readonly StencilRow[]
  /** No pixel lies farther away, along either axis. */
  readonly reach: number
}

const WHOLE = 1 - 1e-9
const NONE = 1e-9

export function stencilOf(a: Aperture, radius: number, toward: readonly [number, number]): Stencil {
  const covered = coveredRows(a, radius, toward)
  const weight = 1 / covered.reduce((sum, { share }) => sum + share.reduce((s, v) => s + v, 0), 0)
  const rows = covered.map(({ row, first, share }) => {
    const from = Math.max(
      share.findIndex((v) => v > WHOLE),
      0,
    )
    const to = share.findLastIndex((v) => v > WHOLE) + 1
    const edges = share.flatMap((v, i): [number, number][] =>
      v > NONE && v <= WHOLE ? [[first + i, Math.fround(v * weight)]] : [],
    )
    return { row, from: first + from, to: first + to, edges }
  })
  const reach = Math.max(
    ...covered.flatMap(({ row, first, share }) => [Math.abs(row), -first, first + share.length - 1]),
  )
  return { weight: Math.fround(weight), rows, reach }
}
