/**
 * PXR24: lines as they come, each channel's highest bytes, then the next ones, …, of the differences from sample to sample;
 * floats without their lowest byte; all through Deflate. Source: [openexr-layout].
 */
import { inflate } from './bytes.js'
import { type Extent, lines } from './extent.js'

const kept = { uint: 4, half: 2, float: 3 } as const

/** Lines as an uncompressed block holds them. @throws RangeError, zlib's errors */
export function unpackPxr24(data: Buffer, extents: readonly Extent[], top: number, rows: number): Buffer {
  const packed = extents.reduce((n, e) => n + e.width * e.rows * kept[e.type], 0)
  const from = inflate(data, packed)
  const out = Buffer.alloc(extents.reduce((n, e) => n + e.width * e.rows * e.bytes, 0))
  let [at, to] = [0, 0]
  for (const { width, type, bytes } of lines(extents, top, rows)) {
    const count = kept[type]
    let value = 0
    for (let i = 0; i < width; i++) {
      let difference = 0
      for (let k = 0; k < count; k++) difference = (difference << 8) | (from[at + k * width + i] as number)
      value = (value + (type === 'float' ? difference << 8 : difference)) | 0
      if (bytes === 2) out.writeUInt16LE(value & 0xffff, to)
      else out.writeInt32LE(value, to)
      to += bytes
    }
    at += count * width
  }
  return out
}
