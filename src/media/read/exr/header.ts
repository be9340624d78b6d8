/**
 * The headers of an OpenEXR file, one a part: windows, channels, chromaticities, compression. Only what decides whether
 * and how a picture can be read; the pixels are the codec library's. Source: [openexr-layout].
 */
import { type Chromaticities, Problem, type Region } from '../../../core/index.js'
import { type Attribute, attributes, box, channelList, type ExrChannel } from './attributes.js'

/** Names of the compressions by their number in the file. */
export const compressions = [
  'none',
  'RLE',
  'ZIPS',
  'ZIP',
  'PIZ',
  'PXR24',
  'B44',
  'B44A',
  'DWAA',
  'DWAB',
] as const

/** Rows in a block of scan lines, by compression number. */
const rowsInBlock = [1, 1, 1, 16, 32, 16, 32, 32, 32, 256]

export interface ExrPart {
  /** Files of one part need not name it. */
  readonly name?: string
  readonly deep: boolean
  /** Width and height of a tile; scan lines when absent. */
  readonly tile?: { readonly width: number; readonly height: number }
  readonly channels: readonly ExrChannel[]
  readonly compression: (typeof compressions)[number]
  readonly dataWindow: Region
  readonly displayWindow: Region
  /** Absent means BT.709. */
  readonly chromaticities?: Chromaticities
  /** Blocks that make the picture at full size, the first ones of the part's table; and rows in each. */
  readonly blocks: number
  readonly blockRows: number
  readonly attributes: ReadonlyMap<string, Attribute>
  /** Byte position of the table that says where each block starts. */
  readonly table: number
}

export interface ExrHeader {
  readonly parts: readonly ExrPart[]
  /** Blocks start with the number of their part. */
  readonly numbered: boolean
}

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
  const numbered = (flags & 0x1000) !== 0
  const lists: ReadonlyMap<string, Attribute>[] = []
  let at = 8
  do {
    const found = attributes(bytes, view, at)
    lists.push(found.list)
    at = found.end
  } while (numbered && view.getUint8(at) !== 0)
  if (numbered) at++
  const parts = lists.map((list) => {
    const part = partOf(bytes, view, list, at, (flags & 0x800) !== 0)
    const count = list.get('chunkCount')
    at += 8 * (count === undefined ? part.blocks : view.getInt32(count.at, true))
    return part
  })
  return { parts, numbered }
}

function partOf(
  bytes: Uint8Array,
  view: DataView,
  list: ReadonlyMap<string, Attribute>,
  table: number,
  deepFile: boolean,
): ExrPart {
  const get = (name: string): Attribute => {
    const found = list.get(name)
    if (found === undefined) throw new RangeError(`no ${name}`)
    return found
  }
  const number = view.getUint8(get('compression').at)
  const compression = compressions[number]
  if (compression === undefined) throw new RangeError(`compression ${number} is unknown`)
  const word = (name: string) => {
    const found = list.get(name)
    return found && Buffer.from(bytes.subarray(found.at, found.at + found.size)).toString('utf8')
  }
  const [name, type] = [word('name'), word('type')]
  const dataWindow = box(view, get('dataWindow').at)
  const tile = tileOf(view, list.get('tiles'))
  const blockRows = tile?.height ?? (rowsInBlock[number] as number)
  const colour = list.get('chromaticities')
  return {
    ...(name === undefined ? {} : { name }),
    deep: type === undefined ? deepFile : type.startsWith('deep'),
    ...(tile === undefined ? {} : { tile }),
    channels: channelList(bytes, view, get('channels').at),
    compression,
    dataWindow,
    displayWindow: box(view, get('displayWindow').at),
    ...(colour === undefined ? {} : { chromaticities: chromaticitiesOf(view, colour.at) }),
    blocks:
      Math.ceil(dataWindow.height / blockRows) *
      (tile === undefined ? 1 : Math.ceil(dataWindow.width / tile.width)),
    blockRows,
    attributes: list,
    table,
  }
}

function tileOf(view: DataView, tiles: Attribute | undefined) {
  if (tiles === undefined) return undefined
  const [width, height] = [view.getUint32(tiles.at, true), view.getUint32(tiles.at + 4, true)]
  if (width === 0 || height === 0) throw new RangeError('tiles of no size')
  return { width, height }
}

function chromaticitiesOf(view: DataView, at: number): Chromaticities {
  const xy = (i: number) =>
    [view.getFloat32(at + 8 * i, true), view.getFloat32(at + 8 * i + 4, true)] as const
  return { red: xy(0), green: xy(1), blue: xy(2), white: xy(3) }
}
