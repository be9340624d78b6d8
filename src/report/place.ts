/** Where in a tell's region to look. */
import type { Region } from '../core/index.js'
import type { Picture } from './types.js'

/** Side of the cells that differences are summed over, in pixels. */
const CELL = 8
/** Above this a sample is lost when the blacks are lifted, so it counts no further. */
const DARK_TOP = 128

/** Variance of the differences, in codes of 8 bits squared, below which nothing is seen to differ. */
const LEAST_VARIANCE = 4

/**
 * What is looked for. `uneven`: treated and untouched plate side by side. `dark`: the same among dark things, for a
 * crop whose blacks are lifted. `flat`: much of the effect and little drawing, where grain can be seen.
 */
export type Sought = 'uneven' | 'dark' | 'flat'

/**
 * Where a window of `width` × `height` says most about result against plate (both of `region`). Ties go to the middle
 * of the region.
 */
export function tellingPlace(
  result: Picture,
  plate: Picture,
  region: Region,
  width: number,
  height: number,
  sought: Sought,
): Region {
  const dark = sought === 'dark'
  const columns = Math.max(1, Math.floor(plate.width / CELL))
  const rows = Math.max(1, Math.floor(plate.height / CELL))
  const differences = new Float64Array(columns * rows)
  const levels = new Float64Array(columns * rows)
  for (let i = 0; i < differences.length; i++) {
    const ours = cellMean(result, i % columns, Math.floor(i / columns))
    const theirs = cellMean(plate, i % columns, Math.floor(i / columns))
    differences[i] = dark ? Math.min(ours, DARK_TOP) - Math.min(theirs, DARK_TOP) : ours - theirs
    levels[i] = theirs
  }
  const across = Math.min(columns, Math.ceil(width / CELL))
  const down = Math.min(rows, Math.ceil(height / CELL))
  const middleX = (columns - across) / 2
  const middleY = (rows - down) / 2
  let best = { score: Number.NEGATIVE_INFINITY, x: middleX, y: middleY }
  for (let y = 0; y + down <= rows; y++) {
    for (let x = 0; x + across <= columns; x++) {
      const off = Math.abs(x - middleX) / columns + Math.abs(y - middleY) / rows
      const [level, drawing] = spread(levels, columns, x, y, across, down)
      const [shift, variance] = spread(differences, columns, x, y, across, down)
      const darkness = dark ? 1 - 0.85 * Math.min(1, level / 200) : 1
      const flatness = Math.abs(shift) / (4 + Math.sqrt(drawing) + Math.sqrt(variance))
      const score = (sought === 'flat' ? flatness : variance * darkness) * (1 - 0.2 * off) - 1e-6 * off
      if (score > best.score) best = { score, x, y }
    }
  }
  // Nothing differs among the dark things: then wherever it does.
  if (dark && best.score < LEAST_VARIANCE) return tellingPlace(result, plate, region, width, height, 'uneven')
  const centreX = region.x + Math.min(plate.width, (best.x + across / 2) * CELL)
  const centreY = region.y + Math.min(plate.height, (best.y + down / 2) * CELL)
  return { x: Math.round(centreX - width / 2), y: Math.round(centreY - height / 2), width, height }
}

function cellMean(p: Picture, column: number, row: number): number {
  const x1 = Math.min(p.width, (column + 1) * CELL)
  const y1 = Math.min(p.height, (row + 1) * CELL)
  let sum = 0
  let count = 0
  for (let y = row * CELL; y < y1; y++) {
    for (let i = 3 * (y * p.width + column * CELL); i < 3 * (y * p.width + x1); i++) {
      sum += p.rgb[i] as number
      count++
    }
  }
  return sum / count
}

/** Mean and variance of a window of cells. */
function spread(cells: Float64Array, stride: number, x0: number, y0: number, width: number, height: number) {
  let sum = 0
  let squares = 0
  for (let y = y0; y < y0 + height; y++) {
    for (let x = x0; x < x0 + width; x++) {
      const v = cells[y * stride + x] as number
      sum += v
      squares += v * v
    }
  }
  const n = width * height
  return [sum / n, squares / n - (sum / n) ** 2] as const
}

/** Moves a window into the frame; smaller frames give smaller windows. */
export function inside(r: Region, width: number, height: number): Region {
  const w = Math.min(r.width, width)
  const h = Math.min(r.height, height)
  return {
    x: Math.min(Math.max(0, r.x), width - w),
    y: Math.min(Math.max(0, r.y), height - h),
    width: w,
    height: h,
  }
}
