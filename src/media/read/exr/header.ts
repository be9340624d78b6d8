/**
 * The header of an OpenEXR file: windows, channels, chromaticities, compression. Only what decides whether and how the
 * picture can be read; the pixels are the codec library's. Source: [openexr-layout].
 */
import { Problem, type Region } from '../../../core/index.js'

export interface ExrChannel {
  readonly name: string
  readonly type: 'uint' | 'half' | 'float'
  readonly stepX: number
  readonly stepY: number
}

export interface ExrHeader {
  readonly parts: number
  readonly deep: boolean
  readonly tiled: boolean
  readonly channels: readonly ExrChannel[]
  readonly compression: number
  readonly dataWindow: Region
  readonly displayWindow: Region
  /** x, y of red, green, blue, white; absent means BT.709. */
  readonly chromaticities?: readonly number[]
  /** Chunks of the first part where they can be told from the header. */
  readonly chunks?: number
  /** Byte positions, for moving the picture to the origin. */
  readonly at: { readonly dataWindow: number; readonly displayWindow: number; readonly offsets: number }
}

interface Attribute {
  readonly type: string
  readonly at: number
  readonly size: number
}

const kinds = ['uint', 'half', 'float'] as const
/** Rows in a chunk, by compression number: none, RLE, ZIPS, ZIP, PIZ, PXR24, B44, B44A, DWAA, DWAB. */
const rowsInChunk = [1, 1, 1, 16, 32, 16, 32, 32, 32, 256]

/** @throws Problem `media.damaged-frame` when the header is cut short or contradicts itself */
export function readExrHeader(bytes: Uint8Array, where: string): ExrHeader {
  try {
    return parse(bytes)
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    throw new Problem({
      code: 'media.damaged-frame',
      what: 'The OpenEXR header is damaged or cut short',
      where,
      received: error.message,
      remedy: 'Render or copy this file again.',
    })
  }
}

function parse(bytes: Uint8Array): ExrHeader {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const flags = view.getInt32(4, true)
  const many = (flags & 0x1000) !== 0
  let at = 8
  const first = attributes(bytes, view, at)
  at = first.end
  let parts = 1
  while (many && bytes[at] !== 0) {
    at = attributes(bytes, view, at).end
    parts++
  }
  if (many) at++
  const get = (name: string): Attribute => {
    const found = first.list.get(name)
    if (found === undefined) throw new RangeError(`no ${name}`)
    return found
  }
  const compression = view.getUint8(get('compression').at)
  const dataWindow = box(view, get('dataWindow').at)
  const tiled = first.list.has('tiles')
  const tiles = first.list.get('tiles')
  const rows = rowsInChunk[compression]
  const inRows = rows === undefined ? undefined : Math.ceil(dataWindow.height / rows)
  const chunks = tiles === undefined ? inRows : tileCount(view, tiles.at, dataWindow)
  const primaries = first.list.get('chromaticities')
  return {
    parts,
    deep: (flags & 0x800) !== 0,
    tiled,
    channels: channelList(bytes, view, get('channels').at),
    compression,
    dataWindow,
    displayWindow: box(view, get('displayWindow').at),
    ...(primaries === undefined
      ? {}
      : { chromaticities: Array.from({ length: 8 }, (_, i) => view.getFloat32(primaries.at + 4 * i, true)) }),
    ...(chunks === undefined ? {} : { chunks }),
    at: { dataWindow: get('dataWindow').at, displayWindow: get('displayWindow').at, offsets: at },
  }
}

/** Of one level; files with several are not counted. */
function tileCount(view: DataView, at: number, data: Region): number | undefined {
  const [wide, high] = [view.getUint32(at, true), view.getUint32(at + 4, true)]
  if (wide === 0 || high === 0) throw new RangeError('tiles of no size')
  if ((view.getUint8(at + 8) & 15) !== 0) return undefined
  return Math.ceil(data.width / wide) * Math.ceil(data.height / high)
}

function attributes(bytes: Uint8Array, view: DataView, from: number) {
  const list = new Map<string, Attribute>()
  let at = from
  while (view.getUint8(at) !== 0) {
    const name = text(bytes, at)
    at += name.length + 1
    const type = text(bytes, at)
    at += type.length + 1
    const size = view.getInt32(at, true)
    if (size < 0) throw new RangeError(`attribute ${name} has size ${size}`)
    list.set(name, { type, at: at + 4, size })
    at += 4 + size
  }
  return { list, end: at + 1 }
}

function text(bytes: Uint8Array, at: number): string {
  const end = bytes.indexOf(0, at)
  if (end < 0 || end - at > 255) throw new RangeError(`no name ends at byte ${at}`)
  return Buffer.from(bytes.subarray(at, end)).toString('latin1')
}

function box(view: DataView, at: number): Region {
  const [x, y, x1, y1] = [0, 4, 8, 12].map((d) => view.getInt32(at + d, true)) as [
    number,
    number,
    number,
    number,
  ]
  if (x1 < x || y1 < y) throw new RangeError(`window ${x},${y} to ${x1},${y1} is empty`)
  return { x, y, width: x1 - x + 1, height: y1 - y + 1 }
}

function channelList(bytes: Uint8Array, view: DataView, from: number): ExrChannel[] {
  const out: ExrChannel[] = []
  let at = from
  while (view.getUint8(at) !== 0) {
    const name = text(bytes, at)
    at += name.length + 1
    const type = kinds[view.getInt32(at, true)]
    if (type === undefined) throw new RangeError(`channel ${name} has an unknown type`)
    out.push({ name, type, stepX: view.getInt32(at + 8, true), stepY: view.getInt32(at + 12, true) })
    at += 16
  }
  return out
}
