/** The place on the breakwater that an artist compares the smoke with, and how far it really is. */
import { lensRay, newRay, project } from './camera.js'
import { newHit } from './scene/hit.js'
import { Scene } from './scene/scene.js'
import { crestX } from './scene/stones.js'
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
  const z = 84
  const [x0, y0] = project(s, crestX(z) - 5.2, 3.3, z)
  const [x1, y1] = project(s, crestX(z) - 2.9, 1.9, z)
  const x = Math.round(x0)
  const y = Math.round(y0)
  const width = Math.max(4, Math.round(x1 - x0))
  const height = Math.max(4, Math.round(y1 - y0))
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
