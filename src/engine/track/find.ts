/** Places worth following: corners, spread over the picture, each with the window that it needs. */
import { corners, type Place, type Vision } from '../../vision/index.js'
import { type Luma, wholeGrey } from './luma.js'
import { apart } from './matrix.js'
import { chooseWindow } from './texture.js'

/** Fields that the picture's or the outline's bounds are divided into, and how many corners each may have at most. */
const COLUMNS = 14
const ROWS = 9
const EACH = 2
const QUALITY = 0.002
/** Windows lie so many of their sides apart: those that share their texture say the same thing twice. */
const OWN = 0.25
/** Candidates that are looked at. */
const MOST = 2000

export interface Field {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** @param within says of a place whether it may be taken; `bounds` holds all that may */
export function findPlaces(
  vision: Vision,
  luma: Luma,
  noise: number,
  bounds: Field,
  within: (p: Place) => boolean,
): { at: Place; window: number }[] {
  const part = partOf(luma, bounds)
  if (part === undefined) return []
  const distance = Math.max(3, Math.min(part.width, part.height) / (EACH * COLUMNS))
  const found = corners(vision, part.grey, { most: MOST, distance: Math.min(distance, 12), quality: QUALITY })
  const held = new Map<number, number>()
  const taken: { at: Place; window: number }[] = []
  return found.flatMap(([x, y]) => {
    const at: Place = [x + part.x, y + part.y]
    if (!within(at)) return []
    const column = Math.floor((x * COLUMNS) / part.width)
    const field = Math.floor((y * ROWS) / part.height) * COLUMNS + column
    if ((held.get(field) ?? 0) >= EACH) return []
    const chosen = chooseWindow(luma, at, noise)
    if ('why' in chosen || taken.some((t) => apart(t.at, at) < (OWN * (t.window + chosen.window)) / 2))
      return []
    taken.push({ at, window: chosen.window })
    held.set(field, (held.get(field) ?? 0) + 1)
    return [{ at, window: chosen.window }]
  })
}

/** The part of the picture within bounds, whole pixels; undefined where they lie outside of it. */
function partOf(luma: Luma, bounds: Field) {
  const x = Math.max(0, Math.floor(bounds.x))
  const y = Math.max(0, Math.floor(bounds.y))
  const width = Math.min(luma.width, Math.ceil(bounds.x + bounds.width)) - x
  const height = Math.min(luma.height, Math.ceil(bounds.y + bounds.height)) - y
  if (width <= 0 || height <= 0) return undefined
  const whole = wholeGrey(luma)
  const data = new Uint8Array(width * height)
  for (let j = 0; j < height; j++) {
    const at = (y + j) * luma.width + x
    data.set(whole.data.subarray(at, at + width), j * width)
  }
  return { x, y, width, height, grey: { width, height, data } }
}

/** Even-odd rule. */
export function inside(outline: readonly Place[], [x, y]: Place): boolean {
  let is = false
  outline.forEach(([x0, y0], i) => {
    const [x1, y1] = outline[(i + 1) % outline.length] as Place
    if (y0 > y !== y1 > y && x < x0 + ((y - y0) / (y1 - y0)) * (x1 - x0)) is = !is
  })
  return is
}

export function boundsOf(outline: readonly Place[]): Field {
  const [xs, ys] = [outline.map((p) => p[0]), outline.map((p) => p[1])]
  const [x, y] = [Math.min(...xs), Math.min(...ys)]
  return { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y }
}
