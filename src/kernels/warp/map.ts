/**
 * A two-dimensional map by which a picture is bent: for each output pixel, how far from it the source is looked at.
 *
 *   source position = output position + shift,  shift linear between nodes `step` pixels apart, node 0 on pixel 0 of `frame`
 *
 * What lies between nodes is wrong by at most step²/8 times the second derivative of the shift in each direction: with 8 pixels
 * and a lens that shifts the corner of a 1080p frame by 1 % that is about 5e-4 px. Shifts are held in single precision. Channels
 * have shifts of their own where the map is coloured; alpha goes with green.
 */
import { EMPTY, intersect, isEmpty, Problem, type Region, union } from '../../core/index.js'
import { shrinking } from './stretch.js'

/** Source positions of one output position, in pixels of the same frame: red x, y, green x, y, blue x, y. */
export type Positions = (x: number, y: number, out: Float64Array) => void

export interface WarpMap {
  /** Output pixels that the map holds for. */
  readonly frame: Region
  /** Pixels between nodes: a power of two. */
  readonly step: number
  readonly columns: number
  readonly rows: number
  /** Whether red and blue have shifts of their own. */
  readonly coloured: boolean
  /** One plane of `columns · rows` a number: x and y of green, or of red, green, blue when coloured. */
  readonly shift: Float32Array
  /** By how much the filter is stretched across and down, a pair a cell; undefined where the map shrinks nowhere. */
  readonly stretch: Float32Array | undefined
}

/** How many pixels to each side of the pixel that a position falls in its filter reaches, unstretched. */
const REACH = 2

/**
 * Samples `at` on the nodes of `frame`. Positions are given at pixel centres, pixel edges at whole numbers.
 *
 * @throws Problem `kernels.bad-map` when a position is not a number or lies further than 65,536 px away
 */
export function warpMap(frame: Region, step: 1 | 8, coloured: boolean, at: Positions): WarpMap {
  const columns = Math.ceil((frame.width - 1) / step) + 1
  const rows = Math.ceil((frame.height - 1) / step) + 1
  const nodes = columns * rows
  const shift = new Float32Array((coloured ? 6 : 2) * nodes)
  const p = new Float64Array(6)
  for (let j = 0, i = 0; j < rows; j++) {
    for (let k = 0; k < columns; k++, i++) {
      const x = frame.x + step * k + 0.5
      const y = frame.y + step * j + 0.5
      at(x, y, p)
      for (let c = 0; c < shift.length / nodes; c++) {
        const d = p[coloured ? c : c + 2] - (c % 2 === 0 ? x : y)
        if (!(Math.abs(d) <= 65536)) throw notAMap(x, y, d)
        shift[c * nodes + i] = d
      }
    }
  }
  const map = { frame, step, columns, rows, coloured, shift }
  return { ...map, stretch: shrinking(map) }
}

function notAMap(x: number, y: number, d: number): Problem {
  return new Problem({
    code: 'kernels.bad-map',
    what: 'A picture cannot be bent by this map',
    where: `pixel ${Math.floor(x)}, ${Math.floor(y)}`,
    expected: 'a place within 65,536 px',
    received: `${d} px away`,
  })
}

/** What the output pixels of one region see: columns and rows of cells, low and high included. */
export function cellsOf(map: WarpMap, r: Region): { i0: number; i1: number; j0: number; j1: number } {
  const last = (n: number) => Math.max(n - 2, 0)
  return {
    i0: Math.min(Math.floor((r.x - map.frame.x) / map.step), last(map.columns)),
    i1: Math.min(Math.floor((r.x + r.width - 1 - map.frame.x) / map.step), last(map.columns)),
    j0: Math.min(Math.floor((r.y - map.frame.y) / map.step), last(map.rows)),
    j1: Math.min(Math.floor((r.y + r.height - 1 - map.frame.y) / map.step), last(map.rows)),
  }
}

/** Every source pixel that output pixels of `region` can see, whole cells of the map at a time. */
export function warpSource(map: WarpMap, region: Region): Region {
  const r = intersect(region, map.frame)
  if (isEmpty(r)) return EMPTY
  const { i0, i1, j0, j1 } = cellsOf(map, r)
  let all = EMPTY
  for (let j = j0; j <= j1; j++) {
    for (let i = i0; i <= i1; i++) all = union(all, cellSource(map, i, j))
  }
  return all
}

/** Every output pixel of the map's frame that can see a pixel of `source`, whole cells of the map at a time. */
export function warpedRegion(map: WarpMap, source: Region): Region {
  let all = EMPTY
  const { frame, step } = map
  for (let j = 0; j < Math.max(map.rows - 1, 1); j++) {
    for (let i = 0; i < Math.max(map.columns - 1, 1); i++) {
      if (isEmpty(intersect(cellSource(map, i, j), source))) continue
      all = union(all, { x: frame.x + step * i, y: frame.y + step * j, width: step + 1, height: step + 1 })
    }
  }
  return intersect(all, frame)
}

/** What the pixels of one cell, its last column and row included, see: shifts lie between those of its corners. */
function cellSource(map: WarpMap, i: number, j: number): Region {
  const { columns, rows, step, shift, frame } = map
  const nodes = columns * rows
  const right = Math.min(i + 1, columns - 1)
  const below = Math.min(j + 1, rows - 1)
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
  const high = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (let c = 0; c < shift.length / nodes; c++) {
    for (const n of [j * columns + i, j * columns + right, below * columns + i, below * columns + right]) {
      low[c % 2] = Math.min(low[c % 2], shift[c * nodes + n])
      high[c % 2] = Math.max(high[c % 2], shift[c * nodes + n])
    }
  }
  const cell = 2 * (j * Math.max(columns - 1, 1) + i)
  // One pixel more to each side, since rounding between nodes may pass a corner's shift.
  const reachX = Math.ceil(REACH * (map.stretch?.[cell] ?? 1)) + 1
  const reachY = Math.ceil(REACH * (map.stretch?.[cell + 1] ?? 1)) + 1
  const x = frame.x + step * i + Math.floor(low[0]) - reachX
  const y = frame.y + step * j + Math.floor(low[1]) - reachY
  return {
    x,
    y,
    width: frame.x + step * i + step + Math.ceil(high[0]) + reachX + 1 - x,
    height: frame.y + step * j + step + Math.ceil(high[1]) + reachY + 1 - y,
  }
}
