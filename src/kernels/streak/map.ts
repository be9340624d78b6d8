/**
 * The ways that what is seen at each pixel went while the shutter was open.
 *
 *   q(t) = p + v·t + c·t²,  −½ ≤ t ≤ ½      v = b − a    c = 2·(a + b)
 *
 *   p     the pixel, where it is in the middle of the exposure
 *   a, b  from it to where its light lay in the source at the exposure's beginning and end, linear between nodes `step` px apart
 *
 * In as many steps as the longest way of a cell is long in pixels, and one more: then no two lie more than a pixel apart.
 */
import { Problem, type Region } from '../../core/index.js'
import { cellsOf, type Sight } from '../warp/map.js'

export interface StreakMap extends Sight {
  /** Planes of `columns · rows`: x and y of a, then of b. */
  readonly ends: Float32Array
  /** Steps of each cell; 1 where nothing moves. */
  readonly taps: Int32Array
}

/** Writes a and b of a place, px: ax, ay, bx, by. */
export type Ways = (x: number, y: number, out: Float64Array) => void

/** Longest way to either end along one axis, px: what goes further leaves no more than a veil. */
export const FARTHEST = 1024
/** Ways shorter than this are none, px. */
const STILL = 1 / 16
/** Beyond the place itself a cubic looks at one pixel before and two behind; one more for rounding. */
const BEFORE = 2
const BEHIND = 3

/**
 * Places are pixel centres, pixel edges at whole numbers; ends beyond {@link FARTHEST} are held to it. Undefined where nothing moves.
 *
 * @throws Problem `kernels.bad-map` when an end is not a number
 */
export function streakMap(frame: Region, step: number, ways: Ways): StreakMap | undefined {
  const columns = Math.ceil((frame.width - 1) / step) + 1
  const rows = Math.ceil((frame.height - 1) / step) + 1
  const nodes = columns * rows
  const ends = new Float32Array(4 * nodes)
  const out = new Float64Array(4)
  for (let j = 0, i = 0; j < rows; j++) {
    for (let k = 0; k < columns; k++, i++) {
      const [x, y] = [frame.x + step * k + 0.5, frame.y + step * j + 0.5]
      ways(x, y, out)
      for (let c = 0; c < 4; c++) {
        if (Number.isNaN(out[c])) throw notAWay(x, y)
        ends[c * nodes + i] = Math.min(Math.max(out[c], -FARTHEST), FARTHEST)
      }
    }
  }
  const map = { frame, step, columns, rows, ends }
  const { taps, sees, moves } = cells(map)
  return moves ? { ...map, taps, sees } : undefined
}

function notAWay(x: number, y: number): Problem {
  return new Problem({
    code: 'kernels.bad-map',
    what: 'A picture cannot be streaked along these ways',
    where: `pixel ${Math.floor(x)}, ${Math.floor(y)}`,
    expected: 'a way in pixels',
    received: 'NaN',
  })
}

/** What each cell sees and how many steps it takes, by its corners: between them ways are no longer. */
function cells({ frame, step, columns, rows, ends }: Omit<StreakMap, 'sees' | 'taps'>) {
  const [across, down] = cellsOf({ columns, rows })
  const nodes = columns * rows
  const sees = new Int32Array(4 * across * down)
  const taps = new Int32Array(across * down)
  let moves = false
  for (let j = 0, cell = 0; j < down; j++) {
    for (let i = 0; i < across; i++, cell++) {
      const right = Math.min(i + 1, columns - 1)
      const [above, below] = [j * columns, Math.min(j + 1, rows - 1) * columns]
      let longest = 0
      const low = [0, 0]
      const high = [0, 0]
      for (const n of [above + i, above + right, below + i, below + right]) {
        const speed = [0, 0]
        for (let axis = 0; axis < 2; axis++) {
          const a = ends[axis * nodes + n]
          const b = ends[(axis + 2) * nodes + n]
          // The way bulges out from the straight line between its ends by a quarter of c at most.
          const bulge = Math.abs(a + b) / 2
          low[axis] = Math.min(low[axis], Math.min(a, b, 0) - bulge)
          high[axis] = Math.max(high[axis], Math.max(a, b, 0) + bulge)
          speed[axis] = Math.abs(b - a) + 2 * Math.abs(a + b)
        }
        longest = Math.max(longest, Math.hypot(speed[0], speed[1]))
      }
      const start = [frame.x + step * i, frame.y + step * j]
      for (let axis = 0; axis < 2; axis++) {
        sees[4 * cell + axis] = start[axis] + Math.floor(low[axis]) - BEFORE
        // The last cell holds the pixels of the last nodes too.
        sees[4 * cell + 2 + axis] = start[axis] + step + Math.ceil(high[axis]) + BEHIND + 1
      }
      taps[cell] = longest < STILL ? 1 : Math.ceil(longest) + 1
      moves ||= taps[cell] > 1
    }
  }
  return { sees, taps, moves }
}
