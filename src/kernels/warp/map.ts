/**
 * A two-dimensional map by which a picture is bent: for each output pixel, how far from it the source is looked at.
 *
 *   source position = output position + shift,  shift linear between nodes `step` pixels apart, node 0 on pixel 0 of `frame`
 *
 * What lies between nodes is wrong by at most step²/8 times the second derivative of the shift in each direction: with 8 pixels
 * and a lens that shifts the corner of a 1080p frame by 1 % that is about 5e-4 px. Shifts are held in single precision. Channels
 * have shifts of their own where the map is coloured; alpha goes with green.
 */
import { EMPTY, intersect, isEmpty, type Region } from '../../core/index.js'

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

/** What of a map says which pixels see which. */
export type Sight = Pick<WarpMap, 'frame' | 'step' | 'columns' | 'rows' | 'sees'>

/** Cells of the map across and down. */
export function cellsOf({ columns, rows }: Pick<WarpMap, 'columns' | 'rows'>): [number, number] {
  return [Math.max(columns - 1, 1), Math.max(rows - 1, 1)]
}

/** Every source pixel that output pixels of `region` can see, whole cells of the map at a time. */
export function warpSource(map: Sight, region: Region): Region {
  const r = intersect(region, map.frame)
  if (isEmpty(r)) return EMPTY
  const [across, down] = cellsOf(map)
  const { sees, step, frame } = map
  const cell = (v: number, count: number) => Math.min(Math.floor(v / step), count - 1)
  const first = cell(r.x - frame.x, across)
  const last = cell(r.x + r.width - 1 - frame.x, across)
  const bottom = cell(r.y + r.height - 1 - frame.y, down)
  const top = cell(r.y - frame.y, down)
  const own = 4 * (top * across + first)
  let [x0, y0, x1, y1] = [sees[own], sees[own + 1], sees[own + 2], sees[own + 3]]
  for (let j = top; j <= bottom; j++) {
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
export function warpedRegion(map: Sight, source: Region): Region {
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
