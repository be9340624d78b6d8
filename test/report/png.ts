/** A PNG of 8-bit RGB on Node's zlib (ISO/IEC 15948): what the report's tests embed. */
import { deflateSync, crc32 as nodeCrc } from 'node:zlib'
import type { Picture } from '../../src/report/types.js'

export function png(p: Picture): Uint8Array {
  const rows = Buffer.alloc((3 * p.width + 1) * p.height)
  for (let y = 0; y < p.height; y++) {
    rows.set(p.rgb.subarray(3 * p.width * y, 3 * p.width * (y + 1)), (3 * p.width + 1) * y + 1)
  }
  const head = Buffer.alloc(13)
  head.writeUInt32BE(p.width, 0)
  head.writeUInt32BE(p.height, 4)
  head.set([8, 2, 0, 0, 0], 8)
  const signature = Buffer.from([137, 80, 78, 71, 13, 10, 26, 10])
  const body = deflateSync(rows, { level: 1 })
  return Buffer.concat([signature, chunk('IHDR', head), chunk('IDAT', body), chunk('IEND', Buffer.alloc(0))])
}

function chunk(name: string, data: Buffer): Buffer {
  const named = Buffer.concat([Buffer.from(name, 'latin1'), data])
  const out = Buffer.alloc(named.length + 8)
  out.writeUInt32BE(data.length, 0)
  out.set(named, 4)
  out.writeUInt32BE(nodeCrc(named), named.length + 4)
  return out
}
