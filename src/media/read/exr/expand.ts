/** DWA blocks as uncompressed ones: tiles stay whole, scan lines get a block each. Source: [openexr-layout]. */
import { Problem } from '../../../core/index.js'
import { expandDwa, sampleBytes } from './dwa/block.js'
import type { ExrPart } from './header.js'

/** @param blocks each from its coordinates on. @throws Problem `media.damaged-frame` */
export function expandBlocks(blocks: readonly Buffer[], p: ExrPart, where: string): Buffer[] {
  return blocks.flatMap((block, i) => {
    try {
      return p.tile === undefined ? lines(block, p) : [tile(block, p, p.tile)]
    } catch (error) {
      throw damagedBlock(where, i, error)
    }
  })
}

/** Block `i`, counted from 0, contradicts itself. */
export function damagedBlock(where: string, i: number, error: unknown): Problem {
  return new Problem({
    code: 'media.damaged-frame',
    what: 'The picture cannot be decoded: it is damaged',
    where,
    received: `block ${i + 1}: ${error instanceof Error ? error.message : String(error)}`,
    remedy: 'Render or copy this file again.',
  })
}

function tile(block: Buffer, p: ExrPart, size: { width: number; height: number }): Buffer {
  const [x, y] = [block.readInt32LE(0) * size.width, block.readInt32LE(4) * size.height]
  const { width, height } = p.dataWindow
  const data = plain(
    block.subarray(20),
    p,
    Math.min(size.width, width - x),
    Math.min(size.height, height - y),
  )
  return headed(block.subarray(0, 16), data)
}

function lines(block: Buffer, p: ExrPart): Buffer[] {
  const top = block.readInt32LE(0)
  const { width } = p.dataWindow
  const rows = Math.min(p.blockRows, p.dataWindow.y + p.dataWindow.height - top)
  const data = plain(block.subarray(8), p, width, rows)
  return Array.from({ length: rows }, (_, i) => {
    const lead = Buffer.alloc(4)
    lead.writeInt32LE(top + i, 0)
    return headed(lead, data.subarray((i * data.length) / rows, ((i + 1) * data.length) / rows))
  })
}

/** A block that did not shrink is stored as it was. */
function plain(data: Buffer, p: ExrPart, width: number, rows: number): Buffer {
  if (width < 1 || rows < 1) throw new RangeError('it lies outside the data window')
  const size = p.channels.reduce((n, c) => n + sampleBytes[c.type], 0) * width * rows
  if (data.length === size) return data
  const one = { width, rows }
  return interleave(
    expandDwa(
      data,
      p.channels,
      p.channels.map(() => one),
    ),
    rows,
  )
}

function headed(coordinates: Buffer, data: Buffer): Buffer {
  const size = Buffer.alloc(4)
  size.writeInt32LE(data.length, 0)
  return Buffer.concat([coordinates, size, data])
}

/** Lines of all channels, in the order given, as an uncompressed block holds them. */
function interleave(planes: readonly Buffer[], rows: number): Buffer {
  const lines: Buffer[] = []
  for (let y = 0; y < rows; y++) {
    for (const p of planes) lines.push(p.subarray((y * p.length) / rows, ((y + 1) * p.length) / rows))
  }
  return Buffer.concat(lines)
}
