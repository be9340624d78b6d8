/**
 * Blocks of scan lines taken apart here, channel by channel: for pictures with channels of several sizes, which the codec
 * library refuses. Source: [openexr-layout].
 */

import { expandDwa } from '../dwa/block.js'
import type { ExrPart } from '../header.js'
import { unpackB44 } from './b44.js'
import { inflate, undoDifferences, undoRuns } from './bytes.js'
import { type Extent, extentOf, lines } from './extent.js'
import { unpackPiz } from './piz.js'
import { unpackPxr24 } from './pxr24.js'

/**
 * Each channel's samples, line by line, little-endian.
 * @param data of a block without its head
 * @throws RangeError, zlib's errors
 */
export function unpackBlock(data: Buffer, p: ExrPart, top: number, rows: number): Buffer[] {
  const extents = p.channels.map((c) => extentOf(c, p.dataWindow.width, top, rows))
  const sizes = extents.map((e) => e.width * e.rows * e.bytes)
  const size = sizes.reduce((n, s) => n + s, 0)
  // A block that did not shrink is stored as it was.
  if (data.length === size || p.compression === 'none') return sorted(exactly(data, size), extents, top, rows)
  switch (p.compression) {
    case 'RLE':
      return sorted(undoDifferences(undoRuns(data, size)), extents, top, rows)
    case 'ZIPS':
    case 'ZIP':
      return sorted(undoDifferences(inflate(data, size)), extents, top, rows)
    case 'PXR24':
      return sorted(unpackPxr24(data, extents, top, rows), extents, top, rows)
    case 'PIZ':
      return cut(unpackPiz(data, extents), sizes)
    case 'B44':
    case 'B44A':
      return cut(unpackB44(data, extents), sizes)
    case 'DWAA':
    case 'DWAB':
      return expandDwa(data, p.channels, extents)
  }
}

function exactly(data: Buffer, size: number): Buffer {
  if (data.length !== size) throw new RangeError(`${data.length} bytes, ${size} expected`)
  return data
}

function cut(data: Buffer, sizes: readonly number[]): Buffer[] {
  let at = 0
  return sizes.map((size) => {
    at += size
    return data.subarray(at - size, at)
  })
}

/** From lines of all channels to channels. */
function sorted(data: Buffer, extents: readonly Extent[], top: number, rows: number): Buffer[] {
  const parts = new Map<Extent, Buffer[]>(extents.map((e) => [e, []]))
  let at = 0
  for (const e of lines(extents, top, rows)) {
    const size = e.width * e.bytes
    parts.get(e)?.push(data.subarray(at, at + size))
    at += size
  }
  return extents.map((e) => Buffer.concat(parts.get(e) as Buffer[]))
}
