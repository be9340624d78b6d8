/** Picture preparation for the page, on 8-bit pictures as they are seen. */
import type { Region } from '../core/index.js'
import type { Picture } from './types.js'

/**
 * Area average to a smaller size (the same picture when it already fits). Averages what is seen, as a browser does that
 * shows a picture smaller; the page shows pictures, it measures nothing on them.
 */
export function shrink(p: Picture, width: number, height: number): Picture {
  if (width >= p.width && height >= p.height) return p
  const xs = edges(p.width, width)
  const ys = edges(p.height, height)
  const rgb = new Uint8Array(3 * width * height)
  for (let y = 0; y < height; y++) {
    const top = ys[y] as number
    const bottom = ys[y + 1] as number
    for (let x = 0; x < width; x++) {
      averageInto(rgb, 3 * (y * width + x), p, xs[x] as number, xs[x + 1] as number, top, bottom)
    }
  }
  return { width, height, rgb }
}

function edges(from: number, to: number): Int32Array {
  return Int32Array.from({ length: to + 1 }, (_, i) => Math.round((i * from) / to))
}

function averageInto(out: Uint8Array, at: number, p: Picture, x0: number, x1: number, y0: number, y1: number) {
  let r = 0
  let g = 0
  let b = 0
  for (let y = y0; y < y1; y++) {
    let i = 3 * (y * p.width + x0)
    for (let x = x0; x < x1; x++) {
      r += p.rgb[i] as number
      g += p.rgb[i + 1] as number
      b += p.rgb[i + 2] as number
      i += 3
    }
  }
  const n = (x1 - x0) * (y1 - y0)
  out[at] = Math.round(r / n)
  out[at + 1] = Math.round(g / n)
  out[at + 2] = Math.round(b / n)
}

/** Channel 0, 1 or 2 as a grey picture. */
export function channel(p: Picture, index: 0 | 1 | 2): Picture {
  const rgb = new Uint8Array(p.rgb.length)
  for (let i = 0; i < rgb.length; i += 3) {
    const v = p.rgb[i + index] as number
    rgb[i] = v
    rgb[i + 1] = v
    rgb[i + 2] = v
  }
  return { width: p.width, height: p.height, rgb }
}

/** `gain` · (a − b) around middle grey: grey where both agree, lighter where `a` is lighter. Sizes must be equal. */
export function difference(a: Picture, b: Picture, gain: number): Picture {
  const rgb = new Uint8Array(a.rgb.length)
  for (let i = 0; i < rgb.length; i++) {
    const v = 128 + gain * ((a.rgb[i] as number) - (b.rgb[i] as number))
    rgb[i] = v < 0 ? 0 : v > 255 ? 255 : v
  }
  return { width: a.width, height: a.height, rgb }
}

/** Mean absolute difference of two pictures of one size, 0 to 255. */
export function distance(a: Picture, b: Picture): number {
  let sum = 0
  for (let i = 0; i < a.rgb.length; i++) sum += Math.abs((a.rgb[i] as number) - (b.rgb[i] as number))
  return sum / Math.max(1, a.rgb.length)
}

const CELL = 8

/**
 * Where in `region` a window of `width` × `height` says most: where the difference of the two pictures (both of
 * `region`) varies most, so that treated and untouched plate stand side by side. Ties go to the middle of the region.
 */
export function tellingPlace(a: Picture, b: Picture, region: Region, width: number, height: number): Region {
  const columns = Math.max(1, Math.floor(a.width / CELL))
  const rows = Math.max(1, Math.floor(a.height / CELL))
  const cells = new Float64Array(columns * rows)
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) cells[row * columns + column] = cellDifference(a, b, column, row)
  }
  const across = Math.min(columns, Math.ceil(width / CELL))
  const down = Math.min(rows, Math.ceil(height / CELL))
  const middleX = (columns - across) / 2
  const middleY = (rows - down) / 2
  let best = { score: Number.NEGATIVE_INFINITY, x: middleX, y: middleY }
  for (let y = 0; y + down <= rows; y++) {
    for (let x = 0; x + across <= columns; x++) {
      const off = Math.abs(x - middleX) / columns + Math.abs(y - middleY) / rows
      const score = variance(cells, columns, x, y, across, down) * (1 - 0.2 * off) - 1e-6 * off
      if (score > best.score) best = { score, x, y }
    }
  }
  const centreX = region.x + Math.min(a.width, (best.x + across / 2) * CELL)
  const centreY = region.y + Math.min(a.height, (best.y + down / 2) * CELL)
  return { x: Math.round(centreX - width / 2), y: Math.round(centreY - height / 2), width, height }
}

function cellDifference(a: Picture, b: Picture, column: number, row: number): number {
  let sum = 0
  const y1 = Math.min(a.height, (row + 1) * CELL)
  const x1 = Math.min(a.width, (column + 1) * CELL)
  for (let y = row * CELL; y < y1; y++) {
    for (let i = 3 * (y * a.width + column * CELL); i < 3 * (y * a.width + x1); i++) {
      sum += (a.rgb[i] as number) - (b.rgb[i] as number)
    }
  }
  return sum / (3 * CELL * CELL)
}

function variance(cells: Float64Array, stride: number, x0: number, y0: number, width: number, height: number) {
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
  return squares / n - (sum / n) ** 2
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
