/**
 * Vignette: what share of a scene's light arrives away from the picture's middle.
 *
 *   f(r) = 1 + k1·r² + k2·r⁴ + k3·r⁶
 *
 *   r  distance from the middle over that of a corner pixel's middle     –   0 to 1
 *
 * Holds for the picture that a lens casts on its sensor, the natural fall-off (cos⁴ of the angle) and that of stops and rims together. Never
 * below a hundredth: no lens is closed at its corner. Source: [lensfun-db], the model `pa`.
 */
import type { Region } from '../../../core/index.js'

/** k1, k2, k3. */
export type Vignette = readonly [number, number, number]

const LEAST = 0.01

/** @param rr r² */
export function falloff([k1, k2, k3]: Vignette, rr: number): number {
  return Math.max(1 + rr * (k1 + rr * (k2 + rr * k3)), LEAST)
}

/** Share of light at the middle of a pixel of the frame: `x` and `y` count from its corner, in pixels. */
export function falloffAt(v: Vignette, frame: Region, x: number, y: number): number {
  const [dx, dy] = [x - frame.x - frame.width / 2, y - frame.y - frame.height / 2]
  return falloff(v, (dx * dx + dy * dy) / cornerSquared(frame))
}

/** Square of the distance of a corner pixel's middle from the picture's. */
export function cornerSquared({ width, height }: Region): number {
  return Math.max(((width - 1) ** 2 + (height - 1) ** 2) / 4, 1)
}
