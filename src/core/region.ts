/** A rectangle of whole pixels in frame coordinates, origin top left. Empty when width or height is 0. */
export interface Region {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

export const EMPTY: Region = { x: 0, y: 0, width: 0, height: 0 }

export function isEmpty(r: Region): boolean {
  return r.width <= 0 || r.height <= 0
}

export function intersect(a: Region, b: Region): Region {
  const x = Math.max(a.x, b.x)
  const y = Math.max(a.y, b.y)
  const width = Math.min(a.x + a.width, b.x + b.width) - x
  const height = Math.min(a.y + a.height, b.y + b.height) - y
  return width > 0 && height > 0 ? { x, y, width, height } : EMPTY
}

/** Smallest region holding both; an empty one adds nothing. */
export function union(a: Region, b: Region): Region {
  if (isEmpty(a)) return b
  if (isEmpty(b)) return a
  const x = Math.min(a.x, b.x)
  const y = Math.min(a.y, b.y)
  return {
    x,
    y,
    width: Math.max(a.x + a.width, b.x + b.width) - x,
    height: Math.max(a.y + a.height, b.y + b.height) - y,
  }
}

export function grow(r: Region, by: number): Region {
  return isEmpty(r) ? r : { x: r.x - by, y: r.y - by, width: r.width + 2 * by, height: r.height + 2 * by }
}

/** Grown outward so that every edge lies on a multiple of the steps (chroma sites). */
export function align(r: Region, stepX: number, stepY: number): Region {
  if (isEmpty(r)) return r
  const x = Math.floor(r.x / stepX) * stepX
  const y = Math.floor(r.y / stepY) * stepY
  return {
    x,
    y,
    width: Math.ceil((r.x + r.width) / stepX) * stepX - x,
    height: Math.ceil((r.y + r.height) / stepY) * stepY - y,
  }
}
