/** Bytes made ready for Deflate in plain TypeScript: what `simd.ts` must equal to the bit. */

/** See `apply.ts`. */
export function splitBytes(raw: Uint8Array): Uint8Array {
  const split = new Uint8Array(raw.length)
  const half = raw.length >> 1
  for (let i = 0; i < half; i++) {
    split[i] = raw[2 * i]
    split[half + i] = raw[2 * i + 1]
  }
  for (let i = split.length - 1; i > 0; i--) split[i] += 128 - split[i - 1]
  return split
}
