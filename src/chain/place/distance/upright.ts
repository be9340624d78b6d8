/**
 * Real height and pixels, both ways: a thing that stands upright with its foot in a pixel, at a depth along the lens's axis,
 * before a camera however tilted. Before a level camera it is px = F · h / D.
 *
 *   foot  P = D / F · d        top  P + h · n        d, n as in `sight.ts`
 *
 * Source: pinhole projection, [hartley2004 §6.1].
 */
import { dot, type Pixel, pixelOf, rayOf, type Sight, type Vector } from './sight.js'

/** Where a place in a pixel lies, m from the camera. */
export function placeOf(s: Sight, p: Pixel, depthM: number): Vector {
  const [x, y, z] = rayOf(s, p)
  return [(x * depthM) / z, (y * depthM) / z, depthM]
}

/** The pixel in which the top shows; undefined where it lies beside or behind the camera. */
export function topOf(s: Sight, foot: Pixel, depthM: number, heightM: number): Pixel | undefined {
  const [x, y, z] = placeOf(s, foot, depthM)
  return pixelOf(s, [x + heightM * s.up[0], y + heightM * s.up[1], z + heightM * s.up[2]])
}

/** Pixels from foot to top. */
export function pixelsOfHeight(s: Sight, foot: Pixel, depthM: number, heightM: number): number | undefined {
  const top = topOf(s, foot, depthM, heightM)
  return top && Math.sqrt((top[0] - foot[0]) ** 2 + (top[1] - foot[1]) ** 2)
}

/** Real height of what reaches from `foot` to `top`: where the upright comes nearest to the top's way of sight. */
export function heightOfPixels(s: Sight, foot: Pixel, top: Pixel, depthM: number): number {
  const p = placeOf(s, foot, depthM)
  const e = rayOf(s, top)
  const [ee, en, ep, np] = [dot(e, e), dot(e, s.up), dot(e, p), dot(s.up, p)]
  return (en * ep - ee * np) / (ee - en * en)
}
