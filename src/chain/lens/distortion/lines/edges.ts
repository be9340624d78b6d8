/**
 * Places of edges to a small part of a pixel: where the slope of the smoothed picture is steepest along its own way.
 *
 *   m(−1), m(0), m(1)  steepness a pixel apart along the slope      δ = (m(−1) − m(1)) / (2·(m(−1) − 2·m(0) + m(1)))
 *
 * Source: [canny1986], the parabola [devernay2001].
 */
import { type LightPicture, smoothed, valueAt } from '../picture.js'

export interface Edgel {
  readonly x: number
  readonly y: number
  /** The way of the slope, a unit vector from dark to light. */
  readonly nx: number
  readonly ny: number
  /** Code values a pixel. */
  readonly steep: number
}

export interface Edges {
  readonly width: number
  readonly height: number
  /** By pixel, row by row. */
  readonly at: readonly (Edgel | undefined)[]
}

/** px */
const SIGMA = 1.2
/** Code values a pixel: twenty times what 8-bit noise of 0.7 leaves. */
const LEAST = 2

/** @param within says of a pixel whether edges there count */
export function edgesOf(picture: LightPicture, within?: (x: number, y: number) => boolean): Edges {
  const { width, height, values: v } = smoothed(picture, SIGMA)
  const steep = new Float32Array(v.length)
  const slopeX = (o: number) => ((v[o + 1] as number) - (v[o - 1] as number)) / 2
  const slopeY = (o: number) => ((v[o + width] as number) - (v[o - width] as number)) / 2
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      const o = y * width + x
      const [gx, gy] = [slopeX(o), slopeY(o)]
      steep[o] = Math.sqrt(gx * gx + gy * gy)
    }
  }
  const field: LightPicture = { width, height, values: steep }
  const at = new Array<Edgel | undefined>(v.length)
  for (let y = 2; y < height - 2; y++) {
    for (let x = 2; x < width - 2; x++) {
      const o = y * width + x
      const m = steep[o] as number
      if (m < LEAST || within?.(x + 0.5, y + 0.5) === false) continue
      const [nx, ny] = [slopeX(o) / m, slopeY(o) / m]
      const before = valueAt(field, x + 0.5 - nx, y + 0.5 - ny)
      const after = valueAt(field, x + 0.5 + nx, y + 0.5 + ny)
      if (m < before || m <= after) continue
      const d = (before - after) / (2 * (before - 2 * m + after))
      if (Math.abs(d) <= 1) at[o] = { x: x + 0.5 + d * nx, y: y + 0.5 + d * ny, nx, ny, steep: m }
    }
  }
  return { width, height, at }
}
