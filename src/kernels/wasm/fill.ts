/** Fresh numbers and copies, by kernels: a script goes through a shared memory value by value. Where they live: see `duringFrame`. */
import { addressOf, newFloats } from './memory.js'
import { simd } from './module.js'

/** `length` numbers of one value. */
export function filledFloats(length: number, value: number): Float32Array {
  const data = newFloats(length)
  const start = addressOf(data)
  if (start === undefined) data.fill(value)
  else simd.fill(start, length, value)
  return data
}

/** `length` bytes, cleared. */
export function newBytes(length: number): Uint8Array {
  const { buffer, byteOffset } = filledFloats(Math.ceil(length / 4), 0)
  return new Uint8Array(buffer, byteOffset, length)
}

export function copyFloats(data: Float32Array): Float32Array {
  const copy = newFloats(data.length)
  const [to, from] = [addressOf(copy), addressOf(data)]
  if (to === undefined || from === undefined) copy.set(data)
  else simd.copy(to, from, data.byteLength)
  return copy
}
