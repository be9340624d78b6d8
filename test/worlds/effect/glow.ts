/** Light of the fire on the near wall and the ground about it: reflectance/π · I·cosθ/r², from five lamps along the flame. */
import type { Layers } from '../scene/base.js'
import { GROUND_Y, WALL_X } from '../scene/near.js'
import type { Setting } from '../setting.js'
import type { Effect } from './in-scene.js'

const WALL_TINT = [1.05, 1, 0.92]

/** Adds the glow to linear light. */
export function addGlow(s: Setting, layers: Layers, lamps: Effect['lamps'], out: Float32Array): void {
  for (let y = 0; y < s.height; y++) {
    const dy = (s.horizonY - (y + 0.5)) / s.focalPx
    for (let x = 0; x < s.width; x++) {
      const i = y * s.width + x
      const wall = layers.wall[i]
      const floor = layers.ground[i]
      if (wall === 0 && floor === 0) continue
      const dx = (x + 0.5 - s.width / 2) / s.focalPx
      if (wall > 0 && dx < 0) spread(s, lamps, WALL_X / dx, true, dx, dy, wall, out, 3 * i)
      if (floor > 0 && dy < 0) spread(s, lamps, (GROUND_Y - s.eyeM) / dy, false, dx, dy, floor, out, 3 * i)
    }
  }
}

function spread(
  s: Setting,
  lamps: Effect['lamps'],
  z: number,
  wall: boolean,
  dx: number,
  dy: number,
  rho: number,
  out: Float32Array,
  at: number,
): void {
  const px = wall ? WALL_X : dx * z
  const py = wall ? s.eyeM + dy * z : GROUND_Y
  const ax = s.fire.x - px
  const az = s.fire.distanceM - z
  const flat = Math.hypot(ax, az)
  if (flat > 25) return
  for (const lamp of lamps) {
    const ay = lamp.y - py
    const r2 = ax * ax + ay * ay + az * az
    const r = Math.sqrt(r2)
    const cosine = (wall ? ax : ay) / r
    if (cosine <= 0) continue
    if (!wall) {
      // The drum's rim hides the foot of the flame from the ground beside it.
      const over = (ay * (flat - 0.29)) / Math.max(0.3, flat)
      if (flat < 0.3 || over < 0.87) continue
    }
    const k = (rho * cosine) / (Math.PI * r2)
    for (let c = 0; c < 3; c++) out[at + c] += k * lamp.rgb[c] * WALL_TINT[c]
  }
}
