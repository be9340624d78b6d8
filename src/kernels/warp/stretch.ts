/**
 * Where a map shrinks: how much wider the filter becomes, so that every source pixel counts.
 *
 *   s across = √((∂u/∂x)² + (∂u/∂y)²)   s down = √((∂v/∂x)² + (∂v/∂y)²)   u, v source position; x, y output position
 *
 * The largest over a cell's sides and over the channels, one pair a cell. Up to 1⅛ the filter stays as it is: what a Catmull-Rom
 * cubic lets through of the band that would fold is too little to be seen, and lenses stay fast and sharp. From 1¼ on it is
 * stretched by s; between, the stretch rises evenly. More than 64 counts as 64.
 */
import { cellsOf, type Nodes } from './map.js'

const FROM = 1.125
const WHOLE = 1.25
const MOST = 64

/** A pair a cell; undefined when the map shrinks nowhere. */
export function shrinking(map: Nodes): Float32Array | undefined {
  const { columns, rows, step, shift } = map
  const [across, down] = cellsOf(map)
  const out = new Float32Array(2 * across * down)
  const nodes = columns * rows
  let most = 1
  for (let j = 0; j < down; j++) {
    const above = j * columns
    const below = Math.min(j + 1, rows - 1) * columns
    for (let i = 0; i < across; i++) {
      const right = Math.min(i + 1, columns - 1)
      for (let axis = 0; axis < 2; axis++) {
        const ownX = axis === 0 ? 1 : 0
        const ownY = axis === 1 ? 1 : 0
        let square = 0
        for (let plane = axis * nodes; plane < shift.length; plane += 2 * nodes) {
          const a = shift[plane + above + i]
          const b = shift[plane + above + right]
          const c = shift[plane + below + i]
          const d = shift[plane + below + right]
          const upper = (b - a) / step + ownX
          const lower = (d - c) / step + ownX
          const left = (c - a) / step + ownY
          const beside = (d - b) / step + ownY
          const steepest = Math.max(left * left, beside * beside)
          square = Math.max(square, upper * upper + steepest, lower * lower + steepest)
        }
        const s = softened(Math.sqrt(square))
        most = Math.max(most, s)
        out[2 * (j * across + i) + axis] = s
      }
    }
  }
  return most > 1 ? out : undefined
}

function softened(s: number): number {
  if (s >= WHOLE) return Math.min(s, MOST)
  return 1 + Math.max(s - FROM, 0) * ((WHOLE - 1) / (WHOLE - FROM))
}
