/** What lies within an outline: the part of the picture around it, and places there that can be followed. */
import { corners, type Grey, type Place, type Vision } from '../../vision/index.js'
import { type Field, inside } from '../track/find.js'
import type { Luma } from '../track/luma.js'
import { apart } from '../track/matrix.js'

/** A part of the picture, in 8 bits. */
export interface Crop {
  readonly x: number
  readonly y: number
  readonly grey: Grey
}

/** The part around bounds, whole pixels; at least 16 px each way, as far as the picture goes. */
export function cropOf({ width, height, data, step }: Luma, bounds: Field, room: number): Crop {
  const [x, w] = span(bounds.x - room, bounds.x + bounds.width + room, width)
  const [y, h] = span(bounds.y - room, bounds.y + bounds.height + room, height)
  const out = new Uint8Array(w * h)
  for (let j = 0, i = 0; j < h; j++) {
    for (let k = (y + j) * width + x, end = k + w; k < end; k++, i++)
      out[i] = Math.min(255, Math.round((data[k] as number) / step))
  }
  return { x, y, grey: { width: w, height: h, data: out } }
}

const LEAST = 16

function span(from: number, to: number, size: number): readonly [number, number] {
  const first = Math.max(0, Math.min(Math.floor(from), size - LEAST))
  return [first, Math.max(Math.min(LEAST, size), Math.min(size, Math.ceil(to)) - first)]
}

/** Most places, and the least share of the strongest one's strength. */
const MOST = 200
const QUALITY = 0.0005
/** Nearer to the outline than this, what is compared is more of what lies behind, px; of what is thinner a quarter of its width. */
const MARGIN = 5

/** Corners within an outline, none near those that are there already. */
export function placesWithin(
  vision: Vision,
  { x, y, grey }: Crop,
  outline: readonly Place[],
  there: readonly Place[],
): Place[] {
  const area = areaOf(outline)
  const distance = Math.max(4, Math.sqrt(area / MOST) * 0.8)
  const around = outline.reduce((sum, p, i) => sum + apart(p, outline[(i + 1) % outline.length] as Place), 0)
  const margin = Math.min(MARGIN, area / Math.max(around, 1) / 2)
  const found = corners(vision, grey, { most: 20 * MOST, distance, quality: QUALITY })
  return found
    .map(([u, v]): Place => [u + x, v + y])
    .filter(
      (p) =>
        inside(outline, p) && distanceTo(outline, p) >= margin && there.every((q) => apart(p, q) >= distance),
    )
    .slice(0, Math.max(0, MOST - there.length))
}

/** How far inside the dense flow is asked, px: it is smoothed over its window. */
const IN = 5
const WAYS = [
  ...([
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ] as const),
  ...([
    [0.7, 0.7],
    [-0.7, 0.7],
    [-0.7, -0.7],
    [0.7, -0.7],
  ] as const),
]

/** A place just inside the outline beside one of its points; the point itself where none is. */
export function inwards(outline: readonly Place[], [x, y]: Place): Place {
  let best: { p: Place; depth: number } | undefined
  for (const [u, v] of WAYS) {
    const p: Place = [x + IN * u, y + IN * v]
    const depth = inside(outline, p) ? distanceTo(outline, p) : 0
    if (depth > (best?.depth ?? 0)) best = { p, depth }
  }
  return best?.p ?? [x, y]
}

function areaOf(outline: readonly Place[]): number {
  const twice = outline.reduce((sum, [x0, y0], i) => {
    const [x1, y1] = outline[(i + 1) % outline.length] as Place
    return sum + x0 * y1 - x1 * y0
  }, 0)
  return Math.abs(twice) / 2
}

function distanceTo(outline: readonly Place[], [x, y]: Place): number {
  let least = Number.POSITIVE_INFINITY
  outline.forEach(([x0, y0], i) => {
    const [x1, y1] = outline[(i + 1) % outline.length] as Place
    const [dx, dy] = [x1 - x0, y1 - y0]
    const long = dx * dx + dy * dy
    const t = long > 0 ? Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / long)) : 0
    const [ex, ey] = [x - x0 - t * dx, y - y0 - t * dy]
    least = Math.min(least, ex * ex + ey * ey)
  })
  return Math.sqrt(least)
}
