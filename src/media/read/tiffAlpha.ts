/**
 * What a TIFF says of its alpha: tag 338, ExtraSamples, of its first directory.
 *
 *   header     "II" (least significant byte first) or "MM", 42, offset of the directory (32 bits)
 *   directory  count (16 bits), then entries of 12 bytes: tag, type, count, value or its offset
 *   338        SHORTs, one for each sample beyond the colour: 0 unspecified, 1 associated alpha (colour was multiplied by it),
 *              2 unassociated alpha; up to two stand in the entry itself
 *
 * The first sample beyond the colour is the one that is read as alpha. Source: [tiff6 §2, §18].
 */
import type { AlphaHint } from '../types.js'

const EXTRA_SAMPLES = 338
const SHORT = 3
const ENTRY = 12

const KINDS: Readonly<Record<number, AlphaHint['kind']>> = { 1: 'premultiplied', 2: 'straight' }

/** @returns nothing where the tag is absent or unspecified, or lies beyond the file's end */
export function tiffAlpha(bytes: Buffer): AlphaHint | undefined {
  const big = bytes.toString('latin1', 0, 2) === 'MM'
  const short = (at: number) =>
    at + 2 > bytes.length ? 0 : big ? bytes.readUInt16BE(at) : bytes.readUInt16LE(at)
  const long = (at: number) =>
    at + 4 > bytes.length ? 0 : big ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at)
  const directory = long(4)
  for (let i = 0; i < short(directory); i++) {
    const entry = directory + 2 + i * ENTRY
    if (short(entry) !== EXTRA_SAMPLES || short(entry + 2) !== SHORT) continue
    const count = long(entry + 4)
    const kind = count === 0 ? undefined : KINDS[short(count <= 2 ? entry + 8 : long(entry + 8))]
    return kind === undefined ? undefined : { kind, known: true, why: 'ExtraSamples tag' }
  }
  return undefined
}
