/**
 * What blotches show of themselves in blocks less their means: the mean product of places `lag` apart along one axis.
 *
 *   ρ(m) − 2 A_m A_0 + A_0²      A_m = mean over i of c(i) within the pairs      c(i) = mean over j of ρ(i − j)      i, j  over the side
 *
 * In units of the blotches' variance. Source: covariance of a number less a mean that it is part of, along either axis; by hand.
 */
import { blotchLag } from './blotch.js'

export function withoutMean(lag: number, size: number, side: number): number {
  const along = withMeans(size, side)
  const mean = (n: number) => along.slice(0, n).reduce((s, v) => s + v, 0) / n
  const all = mean(side)
  return blotchLag(lag, size) - 2 * mean(side - lag) * all + all * all
}

let last: { readonly size: number; readonly side: number; readonly c: readonly number[] } | undefined

/** c(i); asked again and again for the same blotches. */
function withMeans(size: number, side: number): readonly number[] {
  if (last?.size === size && last.side === side) return last.c
  const c = Array.from({ length: side }, (_, i) => {
    let sum = 0
    for (let j = 0; j < side; j++) sum += blotchLag(i - j, size)
    return sum / side
  })
  last = { size, side, c }
  return c
}
