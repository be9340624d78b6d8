/** The clipped lights of a picture: small, compact, and with room around them. */
import type { FloatImage } from '../../../core/index.js'

/** A connected group of clipped pixels. */
export interface Light {
  readonly pixels: number
  /** Its middle, px from the picture's corner. */
  readonly x: number
  readonly y: number
  /** Of a disc as large. */
  readonly radius: number
}

/** Share of the end of the code from which on a pixel counts as clipped. */
const CLIPPED = 0.95
const LEAST_PIXELS = 12
/** Of the picture. */
const LARGEST = 0.01
/** Pixels of the group over those of the disc around its farthest pixel. */
const COMPACT = 0.35
const MOST = 8

/** 1 where the brightest channel is clipped. */
export function clippedMask({ data }: FloatImage, clip: number): Uint8Array {
  const mask = new Uint8Array(data.length / 4)
  for (let p = 0; p < mask.length; p++) {
    const most = Math.max(data[4 * p] as number, data[4 * p + 1] as number, data[4 * p + 2] as number)
    if (most >= CLIPPED * clip) mask[p] = 1
  }
  return mask
}

/** Largest first; those that touch the picture's border are left out. */
export function lightsOf(mask: Uint8Array, width: number, height: number): Light[] {
  const seen = mask.slice()
  const lights: Light[] = []
  const most = LARGEST * width * height
  for (let start = 0; start < seen.length; start++) {
    if (seen[start] === 0) continue
    const group = flood(seen, start, width, height)
    if (group === undefined || group.length < LEAST_PIXELS || group.length > most) continue
    const light = described(group, width)
    if (light !== undefined) lights.push(light)
  }
  return lights.sort((a, b) => b.pixels - a.pixels || a.y - b.y || a.x - b.x).slice(0, MOST)
}

/** Takes the group out of `seen`; undefined where it touches the border. */
function flood(seen: Uint8Array, start: number, width: number, height: number): number[] | undefined {
  const group = [start]
  seen[start] = 0
  let inside = true
  for (let k = 0; k < group.length; k++) {
    const p = group[k] as number
    const [x, y] = [p % width, Math.floor(p / width)]
    if (x === 0 || y === 0 || x === width - 1 || y === height - 1) {
      inside = false
      continue
    }
    for (const q of [p - 1, p + 1, p - width, p + width]) {
      if (seen[q] === 0) continue
      seen[q] = 0
      group.push(q)
    }
  }
  return inside ? group : undefined
}

function described(group: readonly number[], width: number): Light | undefined {
  let [sx, sy] = [0, 0]
  for (const p of group) {
    sx += (p % width) + 0.5
    sy += Math.floor(p / width) + 0.5
  }
  const [x, y] = [sx / group.length, sy / group.length]
  let far = 0
  for (const p of group)
    far = Math.max(far, ((p % width) + 0.5 - x) ** 2 + (Math.floor(p / width) + 0.5 - y) ** 2)
  if (group.length < COMPACT * Math.PI * (Math.sqrt(far) + 0.5) ** 2) return undefined
  return { pixels: group.length, x, y, radius: Math.sqrt(group.length / Math.PI) }
}
