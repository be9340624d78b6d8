/**
 * B44 and B44A: halves in blocks of 4 × 4, each 14 bytes (the first value, a shift, and 15 differences of 6 bits), or 3 bytes
 * where all are one value. Values are ordered as numbers: the sign bit turned over, negative ones complemented. Channels marked
 * linear were stored as e^(x/8). Other types are stored as they are. Source: [openexr-layout], [openexr-b44].
 */

import { toHalves } from '../../../../kernels/index.js'
import { halfToFloat } from '../../../half.js'
import type { Extent } from './extent.js'

/** Channels one behind the other. @throws RangeError when the data are cut short */
export function unpackB44(data: Buffer, extents: readonly Extent[]): Buffer {
  const out: Buffer[] = []
  let at = 0
  for (const extent of extents) {
    const { width, rows, bytes } = extent
    const size = width * rows * bytes
    if (extent.type !== 'half') {
      if (at + size > data.length) throw new RangeError('B44 data cut short')
      out.push(data.subarray(at, at + size))
      at += size
      continue
    }
    const plane = new Uint16Array(width * rows)
    at = fill(plane, data, at, width, rows)
    if (extent.linear)
      for (let i = 0; i < plane.length; i++) plane[i] = logarithms()[plane[i] as number] as number
    out.push(Buffer.from(plane.buffer))
  }
  return Buffer.concat(out)
}

function fill(plane: Uint16Array, data: Buffer, from: number, width: number, rows: number): number {
  const block = new Uint16Array(16)
  let at = from
  for (let y = 0; y < rows; y += 4) {
    for (let x = 0; x < width; x += 4) {
      at += unpack(data, at, block)
      for (let v = y; v < Math.min(y + 4, rows); v++)
        for (let u = x; u < Math.min(x + 4, width); u++)
          plane[v * width + u] = block[4 * (v - y) + u - x] as number
    }
  }
  return at
}

/** A shift of 13 and more cannot be: it marks a block of one value. */
const ONE_VALUE = 13 << 2

/** Gives the bytes taken. */
function unpack(data: Buffer, at: number, block: Uint16Array): number {
  if (at + 3 > data.length) throw new RangeError('B44 data cut short')
  const mark = data[at + 2] as number
  block[0] = data.readUInt16BE(at)
  if (mark >= ONE_VALUE) block.fill(block[0] as number)
  else {
    if (at + 14 > data.length) throw new RangeError('B44 data cut short')
    const shift = mark >> 2
    for (let k = 0; k < 15; k++) {
      // Down the first column, then from each column to the next; six bits each after the shift's, the highest first.
      const [to, before] =
        k < 3 ? [4 * k + 4, 4 * k] : [4 * ((k - 3) & 3) + ((k + 1) >> 2), 4 * ((k - 3) & 3) + ((k - 3) >> 2)]
      const bit = 22 + 6 * k
      const word = data.readUInt16BE(at + Math.min(bit >> 3, 12))
      const six = (word >> (10 - bit + 8 * Math.min(bit >> 3, 12))) & 63
      block[to] = (block[before] as number) + ((six - 32) << shift)
    }
  }
  for (let i = 0; i < 16; i++) {
    const v = block[i] as number
    block[i] = v & 0x8000 ? v & 0x7fff : ~v
  }
  return mark >= ONE_VALUE ? 3 : 14
}

let table: Uint16Array | undefined

/** 8 ln x of every half that has one, else 0. */
function logarithms(): Uint16Array {
  if (table !== undefined) return table
  const values = Float32Array.from({ length: 65536 }, (_, i) => {
    const v = halfToFloat(i)
    return v >= 0 && Number.isFinite(v) ? 8 * Math.log(v) : 0
  })
  table = new Uint16Array(65536)
  toHalves(values, 0, 65536, table, { notANumber: 0, beyondHalf: 0 })
  return table
}
