/** Binary32 to binary16 and back: see `scalar.ts`. */
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type HalfFaults, toHalves as plain } from './scalar.js'

export type { HalfFaults } from './scalar.js'

/** Numbers worked on together, so that they stay near the processor. */
const PIECE = 16384
/** Fewer are done sooner in plain TypeScript than carried over. */
const FEW = 128

/**
 * Fills `out[0 … count)` with the halves of `from[at … at + count)`, nearest even; counts into `faults` what is no number (it
 * becomes 0) and what lies beyond ±65504 (it becomes that).
 */
export function toHalves(
  from: Float32Array,
  at: number,
  count: number,
  out: Uint16Array,
  faults: HalfFaults,
): void {
  if (count < FEW) {
    plain(from, at, count, out, faults)
    return
  }
  duringScratch(() => {
    const counted = words(Int32Array.of(0, 0))
    const halves = takeBytes(2 * PIECE)
    for (let i = 0; i < count; i += PIECE) {
      const n = Math.min(PIECE, count - i)
      duringScratch(() => simd.toHalfRow(words(from.subarray(at + i, at + i + n)), n, halves, counted))
      out.set(new Uint16Array(memory.buffer, halves, n), i)
    }
    const [notANumber, beyondHalf] = new Int32Array(memory.buffer, counted, 2)
    faults.notANumber += notANumber
    faults.beyondHalf += beyondHalf
  })
}

/** Fills `out` with the values of the halves `from`, exactly; NaN stays NaN. */
export function fromHalves(from: Uint16Array, out: Float32Array): void {
  duringScratch(() => {
    const floats = takeBytes(4 * PIECE)
    for (let i = 0; i < from.length; i += PIECE) {
      const n = Math.min(PIECE, from.length - i)
      duringScratch(() => simd.fromHalfRow(words(from.subarray(i, i + n)), n, floats))
      out.set(new Float32Array(memory.buffer, floats, n), i)
    }
  })
}
