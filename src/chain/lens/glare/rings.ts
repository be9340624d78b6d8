/**
 * What lies around one clipped light, ring by ring and side by side, and what a skirt of each width would put there.
 *
 *   level of a cell = b + a · mean over its pixels of (light ∗ (G(w) + G(3w)) / 2)     a = e / (1 − e)
 *
 * The light is taken as its file holds it, clipped. A cell's level is the fifth part of its pixels that is darkest: what is seen of the place itself
 * stands on top of the skirt and is unlike from cell to cell.
 */
import { brightness } from '../../../colour/index.js'
import { type FloatImage, intersect, quantile, type Region } from '../../../core/index.js'
import { gaussianBlur, newImage } from '../../../kernels/index.js'
import type { Light } from './lights.js'
import { PARTS } from './model.js'

export const SIDES = 8
/** Inner edges of the rings, px beyond the light's rim: nearer lie its own soft edge and a codec's ringing. */
const RINGS = [4, 6, 8, 11, 15, 20, 27, 37, 50, 68, 92, 124, 160] as const
const LEAST_PIXELS = 6
const DARK_PART = 0.2
/** Beyond the rings, for lights whose skirts reach in. */
const AROUND = 160

export interface RingCell {
  readonly side: number
  /** 0 nearest to the light. */
  readonly ring: number
  readonly level: number
  /** Of a skirt of each width that was asked for. */
  readonly skirts: readonly number[]
}

/** @param mask 1 where the picture is clipped */
export function ringsAround(
  image: FloatImage,
  mask: Uint8Array,
  light: Light,
  clip: number,
  widths: readonly number[],
): RingCell[] {
  const last = RINGS.at(-1) as number
  const reach = Math.ceil(light.radius + last)
  const square = (by: number): Region => ({
    x: Math.floor(light.x) - by,
    y: Math.floor(light.y) - by,
    width: 2 * by + 1,
    height: 2 * by + 1,
  })
  const window = intersect(square(reach), image.region)
  const shining = clippedLight(image, mask, clip, intersect(square(reach + AROUND), image.region))
  const skirts = widths.map((w) => skirtOf(shining, w, window))
  const cells = new Map<number, number[]>()
  for (let y = window.y; y < window.y + window.height; y++) {
    for (let x = window.x; x < window.x + window.width; x++) {
      const [dx, dy] = [x + 0.5 - light.x, y + 0.5 - light.y]
      const ring = ringAt(Math.hypot(dx, dy) - light.radius)
      if (ring < 0 || nearClipped(mask, image.region, x, y)) continue
      const side = Math.floor(((Math.atan2(dy, dx) / Math.PI + 1) / 2) * SIDES) % SIDES
      const key = ring * SIDES + side
      const list = cells.get(key)
      const p = (y - window.y) * window.width + x - window.x
      if (list === undefined) cells.set(key, [p])
      else list.push(p)
    }
  }
  return [...cells].flatMap(([key, pixels]) =>
    pixels.length < LEAST_PIXELS
      ? []
      : [
          {
            side: key % SIDES,
            ring: Math.floor(key / SIDES),
            level: quantile(
              Float64Array.from(pixels, (p) => brightnessAt(image, window, p)).sort(),
              DARK_PART,
            ),
            skirts: skirts.map((s) => pixels.reduce((sum, p) => sum + (s[p] as number), 0) / pixels.length),
          },
        ],
  )
}

function ringAt(distance: number): number {
  for (let k = RINGS.length - 2; k >= 0; k--)
    if (distance >= (RINGS[k] as number)) return distance < (RINGS[k + 1] as number) ? k : -1
  return -1
}

/** Within three pixels of something clipped: another light's own rim. */
function nearClipped(mask: Uint8Array, { width, height }: Region, x: number, y: number): boolean {
  for (const [i, j] of [
    [0, 0],
    [3, 0],
    [-3, 0],
    [0, 3],
    [0, -3],
  ] as const) {
    const [u, v] = [x + i, y + j]
    if (u >= 0 && v >= 0 && u < width && v < height && mask[v * width + u] === 1) return true
  }
  return false
}

function brightnessAt({ region, data }: FloatImage, window: Region, p: number): number {
  const y = Math.floor(p / window.width)
  const i = 4 * ((y + window.y) * region.width + window.x + p - y * window.width)
  return brightnessOf(data, i, Number.POSITIVE_INFINITY)
}

function brightnessOf(d: Float32Array, i: number, clip: number): number {
  const of = (c: number) => Math.min(d[i + c] as number, clip)
  return brightness(of(0), of(1), of(2))
}

/** The brightness of what is clipped, in every channel. */
function clippedLight(image: FloatImage, mask: Uint8Array, clip: number, region: Region): FloatImage {
  const out = newImage(region)
  for (let y = region.y, k = 0; y < region.y + region.height; y++) {
    for (let x = region.x; x < region.x + region.width; x++, k += 4) {
      const p = y * image.region.width + x
      if (mask[p] === 1) out.data[k] = brightnessOf(image.data, 4 * p, clip)
    }
  }
  return out
}

function skirtOf(light: FloatImage, width: number, window: Region): Float32Array {
  const sum = new Float32Array(window.width * window.height)
  for (const [wide, part] of PARTS) {
    const { data } = gaussianBlur(light, wide * width, window)
    for (let p = 0; p < sum.length; p++) sum[p] = (sum[p] as number) + part * (data[4 * p] as number)
  }
  return sum
}
