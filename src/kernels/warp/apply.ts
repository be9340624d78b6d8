/**
 * A picture bent by a map, each channel by a map of its own where it is coloured: distortion and lateral aberration in one gather.
 *
 *   value = Σ k(i − u)·k(j − v)·source(i, j),  (u, v) the channel's source position     alpha by green's
 *
 *   k  Catmull-Rom cubic (B = 0, C = ½): a picture moved by whole pixels stays itself; where the map shrinks, stretched so that
 *      every source pixel counts (`stretch.ts`), its weights then made to sum to 1
 *
 * Outside the source is transparent black. A result below 0 is raised to 0, or to the lowest source value under the filter where
 * that is negative; alpha is held to 0…1. An output pixel depends on its place, the map and the source alone, so any region
 * equals the same part of the whole, bit for bit. Outside the map's frame nothing is seen.
 *
 * Source: [keys1981], [mitchell1988].
 */
import { type FloatImage, intersect, isEmpty, type Region } from '../../core/index.js'
import { at, newImage, rawImage } from '../wasm/images.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import {
  type Band,
  bandsOf,
  clearAround,
  liveFours,
  nodesOf,
  type Planes,
  roomFor,
  stripsOf,
} from './bands.js'
import { cellsOf, type WarpMap } from './map.js'

export interface Warped {
  /** Premultiplied R, G, B, each from its own position, and alpha from green's. */
  readonly image: FloatImage
  /** Of a coloured map: alpha from the position of red, green, blue, and green once more. */
  readonly coverage: FloatImage | undefined
}

/** Bytes that the rows work in: two fours of pixels behind six vectors, and notes of sixteen fours or the weights of a stretched filter. */
const ROOM = 16 * 16 + 16 * 3 * 144

/** The part of the bent picture in `region`; `src` lies in the same pixels. */
export function warp(src: FloatImage, map: WarpMap, region: Region): Warped {
  const r = intersect(region, map.frame)
  const bands = isEmpty(r) ? [] : bandsOf(map, r, src.region)
  const written =
    r.width === region.width && r.height === region.height && bands.every((b) => !isEmpty(b.part))
  const make = written ? rawImage : newImage
  const image = make(region)
  const coverage = map.coloured ? make(region) : undefined
  if (bands.every((b) => isEmpty(b.part))) return { image, coverage }
  at(src.data, false, (from) =>
    at(image.data, true, (to) => {
      const rows = (alphas: number) =>
        duringScratch(() => passes(src.region, from, map, bands, r, region, to, alphas))
      if (coverage === undefined) rows(0)
      else at(coverage.data, true, rows)
    }),
  )
  return { image, coverage }
}

/** `alphas`: address of the coverage, 0 where there is none. */
function passes(
  source: Region,
  from: number,
  map: WarpMap,
  bands: readonly Band[],
  r: Region,
  region: Region,
  to: number,
  alphas: number,
): void {
  const planes = roomFor(bands)
  const room = takeBytes(ROOM)
  for (const band of bands) {
    if (isEmpty(band.part)) continue
    duringScratch(() => {
      const first = from + 16 * ((band.part.y - source.y) * source.width + band.part.x - source.x)
      const o = 16 * ((band.y - region.y) * region.width + r.x - region.x)
      const outputs = { line: 16 * region.width, to: to + o, alphas: alphas === 0 ? 0 : alphas + o }
      bendBand(map, band, r, first, 16 * source.width, planes, room, outputs)
    })
  }
}

interface Outputs {
  readonly line: number
  readonly to: number
  readonly alphas: number
}

function bendBand(
  map: WarpMap,
  band: Band,
  r: Region,
  from: number,
  line: number,
  { start, pitch, plane }: Planes,
  room: number,
  { line: outLine, to, alphas }: Outputs,
): void {
  const { part } = band
  const strips = stripsOf(part)
  simd.warpPlanes(from, line, part.width, part.height, start, pitch, plane, strips.at)
  clearAround({ part, start, pitch, plane }, part.height)
  const held = new Uint8Array(memory.buffer, strips.at, strips.count)
  // Fours begin at multiples of four from the frame's first column, whatever the region.
  const skip = (r.x - map.frame.x) % 4
  const fours = Math.ceil((skip + r.width) / 4)
  const live = liveFours(map, band, held, r.x - skip, fours)
  if (!live.includes(1)) {
    for (let y = 0; y < band.height; y++) {
      simd.zero(to + outLine * y, 16 * r.width)
      if (alphas !== 0) simd.zero(alphas + outLine * y, 16 * r.width)
    }
    return
  }
  const liveAt = words(live)
  const column = r.x - skip - map.frame.x
  const nodes = nodesOf(map, band)
  const shifts = shiftRows(map, nodes, column, fours)
  const stretch = map.stretch === undefined ? 0 : words(map.stretch)
  const [across, down] = cellsOf(map)
  const x = r.x - skip - part.x
  for (let y = band.y; y < band.y + band.height; y++) {
    const { at: shift, apart } = shifts(y)
    const v = y - part.y
    const o = to + outLine * (y - band.y)
    const a = alphas + outLine * (y - band.y)
    if (alphas === 0)
      simd.warpRow(
        shift,
        apart,
        x,
        v,
        liveAt,
        start,
        pitch,
        plane,
        part.width,
        part.height,
        room,
        skip,
        r.width,
        o,
      )
    else
      simd.warpColouredRow(
        ...([shift, apart, x, v, liveAt, start, pitch, plane, part.width, part.height, room, skip] as const),
        ...([r.width, o, a] as const),
      )
    if (stretch === 0) continue
    const row = Math.min(Math.floor((y - map.frame.y) / map.step), down - 1)
    simd.warpWideRow(
      ...([shift, apart, x, v, stretch + 8 * row * across, Math.log2(map.step), column, across - 1] as const),
      ...([liveAt, start, pitch, plane, part.width, part.height, room, skip, r.width, o] as const),
      alphas === 0 ? 0 : a,
    )
  }
}

/** Gives the shifts of the fours of a row: where they stand, and the bytes between one number's and the next's. */
function shiftRows(
  { step, frame, shift, columns, rows }: WarpMap,
  nodes: ReturnType<typeof nodesOf>,
  column: number,
  fours: number,
): (y: number) => { at: number; apart: number } {
  const rowOf = (y: number) => Math.floor((y - frame.y) / step) - nodes.row
  if (step === 1) return (y) => ({ at: nodes.at + nodes.stride * rowOf(y) + 4 * column, apart: nodes.plane })
  const cell = Math.floor(column / step)
  const within = column - step * cell
  const cells = Math.ceil((within + 4 * fours) / step)
  const numbers = shift.length / (columns * rows)
  const apart = 32 * cells
  const start = takeBytes(numbers * apart)
  return (y) => {
    const above = nodes.at + nodes.stride * rowOf(y) + 4 * cell
    const below = nodes.at + nodes.stride * Math.min(rowOf(y) + 1, nodes.rows - 1) + 4 * cell
    const down = Math.fround(((y - frame.y) % step) / step)
    for (let p = 0; p < numbers; p++) {
      simd.warpShifts(above + p * nodes.plane, below + p * nodes.plane, down, cells, start + p * apart)
    }
    return { at: start + 4 * within, apart }
  }
}
