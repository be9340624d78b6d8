/** The way through a bent picture in bands of rows: what a band sees of the source stands in planes while it is made. */
import { intersect, type Region } from '../../core/index.js'
import { memory, takeBytes } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { cellsOf, type WarpMap, warpSource } from './map.js'

/** Rows of a band, at most; bands begin at multiples of it, counted from the frame's first row. */
export const WARP_ROWS = 64
/** Columns and rows of 0 around the planes. */
const SIDE = 8
const ABOVE = 4
/** Columns that are looked at together when nothing is there. */
const STRIP = 16

/** Planes of a part of the source, R, G, B, alpha; addresses are those of the part's first pixel. */
export interface Planes {
  readonly part: Region
  readonly start: number
  /** Bytes from row to row, and from plane to plane. */
  readonly pitch: number
  readonly plane: number
}

export interface Band {
  /** Output rows. */
  readonly y: number
  readonly height: number
  /** What they see of the source. */
  readonly part: Region
}

/** Bands of `region`, with what each sees of a source over `source`: rows of its own, columns of all. */
export function bandsOf(map: WarpMap, region: Region, source: Region): Band[] {
  const all = intersect(warpSource(map, region), source)
  const bands: Band[] = []
  const end = region.y + region.height
  for (let y = region.y; y < end; ) {
    const next = Math.min(map.frame.y + WARP_ROWS * (Math.floor((y - map.frame.y) / WARP_ROWS) + 1), end)
    const seen = warpSource(map, { ...region, y, height: next - y })
    bands.push({ y, height: next - y, part: intersect({ ...all, y: seen.y, height: seen.height }, all) })
    y = next
  }
  return bands
}

/** Room for the planes of any of the bands; what lies around them is cleared with them. */
export function roomFor(bands: readonly Band[]): Planes {
  const width = Math.max(...bands.map((b) => b.part.width))
  const rows = Math.max(...bands.map((b) => b.part.height))
  const pitch = 4 * (Math.ceil(width / 4) * 4 + 2 * SIDE)
  // Planes that lie a power of two apart would share the same lines of the processor's cache.
  const plane = pitch * (rows + 2 * ABOVE) + 320
  const first = takeBytes(4 * plane)
  const part = { x: 0, y: 0, width, height: rows }
  return { part, start: first + pitch * ABOVE + 4 * SIDE, pitch, plane }
}

/** Clears the rows above and below a band's planes. */
export function clearAround({ start, pitch, plane }: Planes, rows: number): void {
  for (let p = 0; p < 4; p++) {
    simd.zero(start - 4 * SIDE - pitch * ABOVE + p * plane, pitch * ABOVE)
    simd.zero(start - 4 * SIDE + pitch * rows + p * plane, pitch * ABOVE)
  }
}

/** A byte for each 16 columns of a part; their address. */
export function stripsOf(part: Region): { at: number; count: number } {
  const count = Math.ceil(part.width / STRIP)
  const at = takeBytes(count)
  simd.zero(at, count)
  return { at, count }
}

/** Which fours of output columns of a band see a strip that holds something. */
export function liveFours(
  map: WarpMap,
  band: Band,
  held: Uint8Array,
  first: number,
  fours: number,
): Uint8Array {
  const { step, frame } = map
  const { lows, highs } = columnsSeen(map, band)
  const last = lows.length - 1
  const live = new Uint8Array(fours)
  for (let g = 0; g < fours; g++) {
    const x = first + 4 * g - frame.x
    let i = Math.min(Math.floor(x / step), last)
    let [low, high] = [lows[i], highs[i]]
    for (const end = Math.min(Math.floor((x + 3) / step), last); i < end; ) {
      i++
      low = Math.min(low, lows[i])
      high = Math.max(high, highs[i])
    }
    const from = Math.max(Math.floor((low - band.part.x) / STRIP), 0)
    const to = Math.min(Math.floor((high - 1 - band.part.x) / STRIP), held.length - 1)
    for (let s = from; s <= to && live[g] === 0; s++) live[g] = held[s]
  }
  return live
}

/** Of each column of cells, the first source column that a band's rows see, and the one behind the last. */
function columnsSeen(map: WarpMap, band: Band): { lows: Int32Array; highs: Int32Array } {
  const [across, down] = cellsOf(map)
  const { step, frame, sees } = map
  const cellRow = (y: number) => Math.min(Math.floor((y - frame.y) / step), down - 1)
  const bottom = cellRow(band.y + band.height - 1)
  const lows = new Int32Array(across).fill(2 ** 31 - 1)
  const highs = new Int32Array(across).fill(-(2 ** 31))
  for (let j = cellRow(band.y); j <= bottom; j++) {
    for (let i = 0, c = 4 * j * across; i < across; i++, c += 4) {
      lows[i] = Math.min(lows[i], sees[c])
      highs[i] = Math.max(highs[i], sees[c + 2])
    }
  }
  return { lows, highs }
}

/** The rows of nodes between which a band lies, each `stride` bytes, one plane of the map behind the other; their address. */
export function nodesOf(
  map: WarpMap,
  band: Band,
): { at: number; stride: number; plane: number; row: number; rows: number } {
  const { columns, rows, step, frame, shift } = map
  const row = Math.floor((band.y - frame.y) / step)
  const last = Math.min(Math.floor((band.y + band.height - 1 - frame.y) / step) + 1, rows - 1)
  const count = last - row + 1
  // The last node stands again beyond the end, for the fours that reach over it.
  const wide = columns + 4
  const planes = shift.length / (columns * rows)
  const at = takeBytes(4 * planes * count * wide)
  const out = new Float32Array(memory.buffer, at, planes * count * wide)
  for (let p = 0; p < planes; p++) {
    for (let j = 0; j < count; j++) {
      const from = (p * rows + row + j) * columns
      const to = (p * count + j) * wide
      out.set(shift.subarray(from, from + columns), to)
      out.fill(shift[from + columns - 1], to + columns, to + wide)
    }
  }
  return { at, stride: 4 * wide, plane: 4 * wide * count, row, rows: count }
}
