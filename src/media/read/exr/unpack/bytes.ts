/** Byte layers that several OpenEXR compressions share. Source: [openexr-layout]. */
import { inflateSync } from 'node:zlib'

/** @throws RangeError unless exactly `size` bytes come out, zlib's errors */
export function inflate(from: Buffer, size: number): Buffer {
  const out = from.length === 0 ? Buffer.alloc(0) : inflateSync(from, { maxOutputLength: Math.max(1, size) })
  if (out.length !== size) throw new RangeError(`${out.length} bytes inflated, ${size} expected`)
  return out
}

/** Differences plus 128 back to bytes, then the two halves of the bytes back to every other place. */
export function undoDifferences(bytes: Buffer): Buffer {
  const out = Buffer.alloc(bytes.length)
  const half = (bytes.length + 1) >> 1
  let value = 128
  for (let i = 0; i < bytes.length; i++) {
    value = (value + (bytes[i] as number) - 128) & 255
    out[i < half ? 2 * i : 2 * (i - half) + 1] = value
  }
  return out
}

/** Run-lengths: a count n < 0 is followed by −n bytes as they are, another by one byte that comes n + 1 times. */
export function undoRuns(bytes: Buffer, size: number): Buffer {
  const out = Buffer.alloc(size)
  let filled = 0
  for (let at = 0; at < bytes.length; ) {
    const n = bytes.readInt8(at++)
    const count = n < 0 ? -n : n + 1
    if (filled + count > size) throw new RangeError('runs longer than told')
    if (n < 0) bytes.copy(out, filled, at, at + count)
    else out.fill(bytes[at] as number, filled, filled + count)
    at += n < 0 ? count : 1
    filled += count
  }
  if (filled !== size) throw new RangeError('runs shorter than told')
  return out
}
