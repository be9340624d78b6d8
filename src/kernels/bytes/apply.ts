/**
 * Bytes made ready for Deflate as OpenEXR asks for it: those at even places, then those at odd ones, each but the first its difference
 * from the one before, plus 128.
 *
 * Source: [openexr-layout].
 */
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

/** @param raw an even number of bytes */
export function splitBytes(raw: Uint8Array): Uint8Array {
  return duringScratch(() => {
    const out = takeBytes(raw.length)
    if (raw.length > 0) simd.splitRow(words(raw), raw.length >> 1, out)
    return new Uint8Array(memory.buffer, out, raw.length).slice()
  })
}
