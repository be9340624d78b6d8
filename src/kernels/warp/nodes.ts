/** The making of a map: its nodes, and what follows from them. */
import { Problem, type Region } from '../../core/index.js'
import { cellsOf, type Nodes, type WarpMap } from './map.js'
import { shrinking } from './stretch.js'

/** Source positions of one output position, in pixels of the same frame: red x, y, green x, y, blue x, y. */
export type Positions = (x: number, y: number, out: Float64Array) => void

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

/** What each cell sees, its last column and row included: shifts lie between those of its corners. */
function reaches(map: Nodes, stretch: Float32Array | undefined): Int32Array {
  const { columns, rows, step, shift, frame } = map
  const [across, down] = cellsOf(map)
  const sees = new Int32Array(4 * across * down)
  const plane = columns * rows
  for (let j = 0, cell = 0; j < down; j++) {
    const above = j * columns
    const below = Math.min(j + 1, rows - 1) * columns
    for (let i = 0; i < across; i++, cell++) {
      const right = Math.min(i + 1, columns - 1)
      const sx = stretch === undefined ? 1 : stretch[2 * cell]
      const sy = stretch === undefined ? 1 : stretch[2 * cell + 1]
      const plain = sx === 1 && sy === 1
      for (let axis = 0; axis < 2; axis++) {
        let low = Infinity
        let high = -Infinity
        for (let first = axis * plane; first < shift.length; first += 2 * plane) {
          const a = shift[first + above + i]
          const b = shift[first + above + right]
          const c = shift[first + below + i]
          const d = shift[first + below + right]
          low = Math.min(low, a, b, c, d)
          high = Math.max(high, a, b, c, d)
        }
        // Two pixels; stretched, as many times more, and up to three that fill the last four. Rounding between nodes may pass a corner's shift.
        const reach = (plain ? 2 : Math.ceil(2 * (axis === 0 ? sx : sy)) + 4) + 1
        const start = axis === 0 ? frame.x + step * i : frame.y + step * j
        sees[4 * cell + axis] = start + Math.floor(low) - reach
        sees[4 * cell + 2 + axis] = start + step + Math.ceil(high) + reach + 1
      }
    }
  }
  return sees
}
