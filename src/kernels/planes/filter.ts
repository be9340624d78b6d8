/** Rows of the kernels' memory from one grid of `taps.ts` to another. */
import { takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type Axis, sameAxis, tapsBetween } from './taps.js'

export interface Filter {
  /** A row of source samples with the room that `filter` needs around it. */
  room(): number
  /** `out` has room for fours. The samples beyond the row's ends are overwritten. */
  filter(row: number, out: number): void
}

/**
 * A row of samples `sourceFirst` to `sourceFirst + sourceCount − 1` to `count` samples from number `first` on. Addresses live as
 * long as the scratch that this is called in.
 */
export function filterBetween(
  from: Axis,
  to: Axis,
  first: number,
  count: number,
  sourceFirst: number,
  sourceCount: number,
): Filter {
  const room = () => takeBytes(4 * (sourceCount + 16)) + 16
  // Site of the first sample among the source's.
  const at = (first * to.step + to.shift - from.shift) / from.step - sourceFirst
  const start = Math.floor(at)
  if (sameAxis(from, to)) return { room, filter: (row, out) => simd.copy(out, row + 4 * at, 4 * count) }
  if (to.step === 2 * from.step && first * 2 === sourceFirst) {
    const weights = [-1, 0, 1, 2].map((i) => Math.max(0, 1 - Math.abs(start + i - at) / 2) / 2)
    const w = words(Float32Array.from(weights))
    return {
      room,
      filter(row, out) {
        simd.mirrorEnds(row, sourceCount)
        simd.filterHalf(row + 4 * (start - 1), w, count, out)
      },
    }
  }
  if (from.step === 2 * to.step && at >= -0.5 && at < 0.5) {
    return {
      room,
      filter(row, out) {
        simd.repeatEnds(row, sourceCount)
        simd.betweenTwo(row, -start, at - start, at + 0.5, (count + 1) >> 1, out)
      },
    }
  }
  const taps = tapsBetween(from, to, first, count, sourceFirst, sourceCount)
  const index = words(taps.index)
  const weight = words(Float32Array.from(taps.weight))
  return { room, filter: (row, out) => simd.filterTaps(row, index, weight, taps.n, count, out) }
}
