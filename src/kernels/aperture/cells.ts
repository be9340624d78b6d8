/** Squares of the frame, counted from its corner, each with one shape of the opening: a barrel that cuts in shapes every place anew. */
import { intersect, type Region } from '../../core/index.js'
import type { Aperture } from './shape.js'

export const CELL = 32

export interface Cell {
  readonly region: Region
  /** Of the frame's middle from the cell's, in half diagonals. */
  readonly toward: readonly [number, number]
}

/** The cells of a region, row by row; all of it where the shape is the same everywhere. */
export function cellsOf(region: Region, { corner }: Aperture, frame: Region): Cell[] {
  if (corner === 0) return [{ region, toward: [0, 0] }]
  const cells: Cell[] = []
  const [right, bottom] = [region.x + region.width, region.y + region.height]
  for (let y = CELL * Math.floor(region.y / CELL); y < bottom; y += CELL)
    for (let x = CELL * Math.floor(region.x / CELL); x < right; x += CELL) {
      const cell = { x, y, width: CELL, height: CELL }
      cells.push({ region: intersect(cell, region), toward: towardMiddle(x, y, frame) })
    }
  return cells
}

/** Of the frame's middle from that of the cell at x, y, in half diagonals; beyond the frame's corners as in them. */
export function towardMiddle(left: number, top: number, { x, y, width, height }: Region): [number, number] {
  const [dx, dy] = [x + (width - CELL) / 2 - left, y + (height - CELL) / 2 - top]
  const half = Math.max(Math.hypot(width, height) / 2, Math.hypot(dx, dy))
  return [dx / half, dy / half]
}
