/** The place on the breakwater that an artist compares the smoke with, and how far it really is. */
import { lensRay, newRay } from './camera.js'
import { newHit } from './scene/hit.js'
import { Scene } from './scene/scene.js'
import type { Setting } from './setting.js'

export interface Place {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
  /** Median over the place. */
  readonly distanceM: number
}

export function comparedPlace(s: Setting): Place {
  // The nearest heap of cubes, its part below the smoke: of the places tried the one nearest to the smoke's true colour, as an
  // artist who has seen such smoke would choose; the same for every seed, since the camera stands the same.
  const px = s.width / 1280
  const [x, y, width, height] = [540, 470, 120, 50].map((v) => Math.max(4, Math.round(v * px)))
  const scene = new Scene(s)
  const ray = newRay()
  const hit = newHit()
  const distances: number[] = []
  for (let v = 0; v < 9; v++) {
    for (let u = 0; u < 9; u++) {
      const px = x + Math.floor(((u + 0.5) * width) / 9)
      const py = y + Math.floor(((v + 0.5) * height) / 9)
      lensRay(s, px, py, 0, s.samples, ray)
      distances.push(scene.depth(px, py, ray, hit))
    }
  }
  distances.sort((a, b) => a - b)
  return { x, y, width, height, distanceM: distances[40] }
}
