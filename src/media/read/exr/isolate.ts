/**
 * One layer of an OpenEXR file as a file of its own. The codec library reads single-part files whose windows start at
 * 0, 0 and whose channels are called R, G, B, A or Y, and it reads those exactly: so a file that is otherwise is rewritten
 * before it is decoded. Blocks are copied as they are, only their heads change: no sample is touched.
 * Source: [openexr-layout].
 */
import { Problem, type Region } from '../../../core/index.js'
import { expandBlocks } from './expand.js'
import { compressions, type ExrHeader, type ExrPart } from './header.js'
import type { ExrLayer } from './layers.js'

const kept = ['lineOrder', 'pixelAspectRatio', 'screenWindowCenter', 'screenWindowWidth']
const types = { uint: 0, half: 1, float: 2 } as const

/** Bytes as the codec library can read them: the file itself where that is possible. */
export function isolate(bytes: Buffer, h: ExrHeader, layer: ExrLayer, where: string): Buffer {
  const part = h.parts[layer.part] as ExrPart
  const stored = blocksOf(bytes, h, part, layer.part, where)
  if (isPlain(bytes, h, part, layer)) return bytes
  const blocks = part.compression.startsWith('DWA') ? expandBlocks(stored, part, where) : stored
  const head = header(bytes, part, layer)
  const table = Buffer.alloc(8 * blocks.length)
  const out: Buffer[] = [head, table]
  let at = head.length + table.length
  for (const [i, block] of blocks.entries()) {
    table.writeBigUInt64LE(BigInt(at), 8 * i)
    const lead = Buffer.from(block.subarray(0, part.tile === undefined ? 4 : 16))
    if (part.tile === undefined) lead.writeInt32LE(lead.readInt32LE(0) - part.dataWindow.y, 0)
    out.push(lead, block.subarray(lead.length))
    at += block.length
  }
  return Buffer.concat(out)
}

function isPlain(bytes: Buffer, h: ExrHeader, p: ExrPart, layer: ExrLayer): boolean {
  const { x, y, width, height } = p.displayWindow
  const d = p.dataWindow
  const tiles = p.attributes.get('tiles')
  const named = layer.channels.every((c, i) => c === roleOf(layer, i))
  return (
    named &&
    !p.compression.startsWith('DWA') &&
    !h.numbered &&
    (tiles === undefined || bytes[tiles.at + 8] === 0) &&
    [x, y, d.x, d.y].every((v) => v === 0) &&
    d.width === width &&
    d.height === height
  )
}

/** The blocks at full size, each from its coordinates on. @throws Problem `media.damaged-frame` when one is missing */
export function blocksOf(bytes: Buffer, h: ExrHeader, p: ExrPart, number: number, where: string): Buffer[] {
  return Array.from({ length: p.blocks }, (_, i) => {
    const entry = p.table + 8 * i
    const start = entry + 8 <= bytes.length ? Number(bytes.readBigUInt64LE(entry)) : 0
    const from = start + (h.numbered ? 4 : 0)
    const lead = p.tile === undefined ? 8 : 20
    const there = start > 0 && from + lead <= bytes.length
    const size = there ? bytes.readInt32LE(from + lead - 4) : -1
    const own = !h.numbered || (there && bytes.readInt32LE(start) === number)
    if (size >= 0 && own && from + lead + size <= bytes.length)
      return bytes.subarray(from, from + lead + size)
    throw new Problem({
      code: 'media.damaged-frame',
      what: 'The OpenEXR file is cut short',
      where,
      received: `block ${i + 1} of ${p.blocks} lies outside the file`,
      remedy: 'Render or copy this file again.',
    })
  })
}

/** DWA is taken apart here; everything else stays as it is. */
function written(p: ExrPart): ExrPart['compression'] {
  return p.compression.startsWith('DWA') ? 'none' : p.compression
}

function roleOf(layer: ExrLayer, i: number): string {
  const grey = layer.kind === 'grey'
  return (grey ? ['Y', 'A'] : ['R', 'G', 'B', 'A'])[i] as string
}

function header(bytes: Buffer, p: ExrPart, layer: ExrLayer): Buffer {
  const { width, height } = p.dataWindow
  const window = windowBytes({ x: 0, y: 0, width, height })
  const channels = p.channels.map((c, i) => {
    const at = layer.channels.indexOf(c.name)
    return Buffer.concat([
      text(at < 0 ? `unused${i}` : roleOf(layer, at)),
      ints(types[c.type], 0, c.stepX, c.stepY),
    ])
  })
  const copied = kept.flatMap((name) => {
    const a = p.attributes.get(name)
    return a === undefined ? [] : [attribute(name, a.type, bytes.subarray(a.at, a.at + a.size))]
  })
  return Buffer.concat([
    Buffer.from([0x76, 0x2f, 0x31, 0x01, 2, p.tile === undefined ? 0 : 2, 0, 0]),
    attribute('channels', 'chlist', Buffer.concat([...channels, Buffer.alloc(1)])),
    attribute('dataWindow', 'box2i', window),
    attribute('displayWindow', 'box2i', window),
    attribute('compression', 'compression', Buffer.from([compressions.indexOf(written(p))])),
    ...copied,
    // One level: the smaller ones are left behind.
    ...(p.tile === undefined
      ? []
      : [
          attribute('tiles', 'tiledesc', Buffer.concat([ints(p.tile.width, p.tile.height), Buffer.alloc(1)])),
        ]),
    Buffer.alloc(1),
  ])
}

function attribute(name: string, type: string, value: Buffer): Buffer {
  return Buffer.concat([text(name), text(type), ints(value.length), value])
}

function windowBytes({ x, y, width, height }: Region): Buffer {
  return ints(x, y, x + width - 1, y + height - 1)
}

const text = (s: string) => Buffer.from(`${s}\0`, 'latin1')

function ints(...values: number[]): Buffer {
  const out = Buffer.alloc(4 * values.length)
  for (const [i, v] of values.entries()) out.writeInt32LE(v, 4 * i)
  return out
}
