/**
 * A two-dimensional map by which a picture is bent: for each output pixel, how far from it the source is looked at.
 *
 *   source position = output position + shift,  shift linear between nodes `step` pixels apart, node 0 on pixel 0 of `frame`
 *
 * What lies between nodes is wrong by at most step²/8 times the second derivative of the shift in each direction: with 8 pixels
 * and a lens that shifts the corner of a 1080p frame by 1 % that is about 5e-4 px. Shifts are held in single precision. Channels
 * have shifts of their own where the map is coloured; alpha goes with green.
 */
import { EMPTY, intersect, isEmpty, Problem, type Region } from '../../core/index.js'
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
  /** What the pixels of each cell see of the source: left, top, right and bottom, the last two not included. */
  readonly sees: Int32Array
}

/** A map without what follows from its nodes. */
export type Nodes = Omit<WarpMap, 'stretch' | 'sees'>

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
  const stretch = shrinking(map)
  return { ...map, stretch, sees: reaches(map, stretch) }
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

/** Cells of the map across and down. */
export function cellsOf({ columns, rows }: Pick<WarpMap, 'columns' | 'rows'>): [number, number] {
  return [Math.max(columns - 1, 1), Math.max(rows - 1, 1)]
}

/** Every source pixel that output pixels of `region` can see, whole cells of the map at a time. */
export function warpSource(map: WarpMap, region: Region): Region {
  const r = intersect(region, map.frame)
  if (isEmpty(r)) return EMPTY
  const [across, down] = cellsOf(map)
  const { sees, step, frame } = map
  const cell = (v: number, count: number) => Math.min(Math.floor(v / step), count - 1)
  const first = cell(r.x - frame.x, across)
  const last = cell(r.x + r.width - 1 - frame.x, across)
  const bottom = cell(r.y + r.height - 1 - frame.y, down)
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let j = cell(r.y - frame.y, down); j <= bottom; j++) {
    for (let c = 4 * (j * across + first); c <= 4 * (j * across + last); c += 4) {
      x0 = Math.min(x0, sees[c])
      y0 = Math.min(y0, sees[c + 1])
      x1 = Math.max(x1, sees[c + 2])
      y1 = Math.max(y1, sees[c + 3])
    }
  }
  return { x: x0, y: y0, width: x1 - x0, height: y1 - y0 }
}

/** Every output pixel of the map's frame that can see a pixel of `source`, whole cells of the map at a time. */
export function warpedRegion(map: WarpMap, source: Region): Region {
  if (isEmpty(source)) return EMPTY
  const [across, down] = cellsOf(map)
  const { sees, step, frame } = map
  let [x0, y0, x1, y1] = [across, down, -1, -1]
  for (let j = 0, c = 0; j < down; j++) {
    for (let i = 0; i < across; i++, c += 4) {
      if (sees[c] >= source.x + source.width || sees[c + 2] <= source.x) continue
      if (sees[c + 1] >= source.y + source.height || sees[c + 3] <= source.y) continue
      x0 = Math.min(x0, i)
      y0 = Math.min(y0, j)
      x1 = Math.max(x1, i)
      y1 = Math.max(y1, j)
    }
  }
  if (x1 < 0) return EMPTY
  // The last cell holds the pixels of the last nodes too.
  const whole = {
    x: step * x0,
    y: step * y0,
    width: step * (x1 - x0 + 1) + 1,
    height: step * (y1 - y0 + 1) + 1,
  }
  return intersect({ ...whole, x: whole.x + frame.x, y: whole.y + frame.y }, frame)
}

/** What each cell sees, its last column and row included: shifts lie between those of its corners. */
function reaches(map: Nodes, stretch: Float32Array | undefined): Int32Array {
  const { columns, rows, step, shift, frame } = map
  const [across, down] = cellsOf(map)
  const sees = new Int32Array(4 * across * down)
  for (let j = 0, cell = 0; j < down; j++) {
    for (let i = 0; i < across; i++, cell++) {
      for (let axis = 0; axis < 2; axis++) {
        const [low, high] = extremes(i, j, axis)
        const s = stretch?.[2 * cell + axis] ?? 1
        // Two pixels; stretched, as many times more, and up to three that fill the last four. Rounding between nodes may pass a corner's shift.
        const reach = (s === 1 ? 2 : Math.ceil(2 * s) + 4) + 1
        const start = axis === 0 ? frame.x + step * i : frame.y + step * j
        sees[4 * cell + axis] = start + Math.floor(low) - reach
        sees[4 * cell + 2 + axis] = start + step + Math.ceil(high) + reach + 1
      }
    }
  }
  return sees

  function extremes(i: number, j: number, axis: number): [number, number] {
    const right = Math.min(i + 1, columns - 1)
    const below = Math.min(j + 1, rows - 1) * columns
    let [low, high] = [Infinity, -Infinity]
    for (let first = axis * columns * rows; first < shift.length; first += 2 * columns * rows) {
      const [a, b] = [shift[first + j * columns + i], shift[first + j * columns + right]]
      const [c, d] = [shift[first + below + i], shift[first + below + right]]
      low = Math.min(low, a, b, c, d)
      high = Math.max(high, a, b, c, d)
    }
    return [low, high]
  }
}
