/**
 * Binary32 to binary16, nearest even, and back, in plain TypeScript: what `simd.ts` must equal to the bit. Source:
 * [ieee754-2019 §3.6, §4.3.1].
 *
 * Values beyond ±65504, infinities included, become ±65504; NaN becomes 0. Both are counted, never silent.
 */
export interface HalfFaults {
  notANumber: number
  beyondHalf: number
}

const LARGEST = 0x7bff
/** Bits of the first float that would round past 65504. */
const TOO_LARGE = 0x477ff000
/** Bits of 2⁻¹⁴, the smallest normal half. */
const NORMAL = 0x38800000

/** Fills `out[0 … count)` with the halves of `from[at … at + count)`; counts faults into `faults`. */
export function toHalves(
  from: Float32Array,
  at: number,
  count: number,
  out: Uint16Array,
  faults: HalfFaults,
): void {
  const words = new Uint32Array(from.buffer, from.byteOffset + 4 * at, count)
  for (let i = 0; i < count; i++) {
    const word = words[i]
    const magnitude = word & 0x7fffffff
    const sign = (word >>> 16) & 0x8000
    if (magnitude >= TOO_LARGE) {
      if (magnitude > 0x7f800000) {
        faults.notANumber++
        out[i] = 0
      } else {
        // From 65504 itself to 65520 the nearest half is 65504: only what lies past is clamped.
        faults.beyondHalf++
        out[i] = sign | LARGEST
      }
    } else if (magnitude >= NORMAL) {
      // Rebias the exponent; add just under half a step, and the last kept bit to break ties to even.
      const rebased = magnitude - 0x38000000
      out[i] = sign | ((rebased + 0xfff + ((rebased >>> 13) & 1)) >>> 13)
    } else {
      out[i] = sign | subnormal(from[at + i])
    }
  }
}

/** Whole steps of 2⁻²⁴ in |v| < 2⁻¹⁴, nearest even: adding 2²³ steps makes binary32 do the rounding. */
function subnormal(v: number): number {
  return Math.fround(Math.abs(v) * 2 ** 24 + 2 ** 23) - 2 ** 23
}

/** Fills `out` with the values of the halves `from`, exactly; NaN stays NaN. */
export function fromHalves(from: Uint16Array, out: Float32Array): void {
  for (let i = 0; i < from.length; i++) out[i] = value(from[i])
}

function value(half: number): number {
  const sign = half & 0x8000 ? -1 : 1
  const exponent = (half >> 10) & 31
  const fraction = half & 1023
  if (exponent === 31) return fraction === 0 ? sign * Number.POSITIVE_INFINITY : Number.NaN
  return exponent === 0 ? sign * fraction * 2 ** -24 : sign * (1024 + fraction) * 2 ** (exponent - 25)
}
