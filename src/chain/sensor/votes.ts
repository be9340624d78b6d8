/** Many edges that vote on one number: parts of the frame, what is left without each, and the best between tried ones. */
import { robustSigma } from '../../core/index.js'

/** Parts of the frame along each axis. */
const PARTS = 4

/** Which part of its frame a place lies in; the same part of another frame is another. */
export function partOf(x: number, y: number, width: number, height: number, picture: number): number {
  const part = Math.floor((PARTS * x) / width) + PARTS * Math.floor((PARTS * y) / height)
  return (part + picture * (PARTS + 1)) % PARTS ** 2
}

export interface Voter {
  readonly part: number
}

/**
 * Jackknife over the parts; by the median, for a part that turns the answer over says nothing of the rest.
 * @returns spread of the answer, and by how much a single part's own differs: √n of it
 *
 * @param table what all edges cost at every number that was tried @param costOf the same of some edges
 * @param answer from the edges that are left and their table
 */
export function leftOut<E extends Voter>(
  edges: readonly E[],
  table: Float64Array,
  costOf: (edges: readonly E[]) => Float64Array,
  answer: (edges: readonly E[], table: Float64Array) => number,
): { readonly spread: number; readonly ofPart: number } {
  const answers = [...new Set(edges.map((e) => e.part))].map((part) => {
    const less = costOf(edges.filter((e) => e.part === part))
    return answer(
      edges.filter((e) => e.part !== part),
      table.map((v, i) => v - less[i]!),
    )
  })
  const spread = Math.sqrt(Math.max(answers.length - 1, 0)) * robustSigma(answers)
  return { spread, ofPart: Math.sqrt(answers.length) * spread }
}

/** Lowest place of a parabola through a point and its neighbours. */
export function lowestNear(x: ArrayLike<number>, i: number, at: (i: number) => number): number {
  const [x0, x1, x2] = [x[i - 1], x[i]!, x[i + 1]]
  if (x0 === undefined || x2 === undefined) return x1
  const [d0, d2] = [(at(i - 1) - at(i)) / (x0 - x1), (at(i + 1) - at(i)) / (x2 - x1)]
  const bend = (d2 - d0) / (x2 - x0)
  if (!(bend > 0)) return x1
  const middle = (x0 + x1) / 2 - d0 / (2 * bend)
  return Math.min(Math.max(middle, (x0 + x1) / 2), (x1 + x2) / 2)
}
