/** Light of the fire on the near wall: reflectance/π · I·cosθ/r², from five lamps along the flame. */
import type { Layers } from '../scene/base.js'
import { WALL_X } from '../scene/near.js'
import type { Setting } from '../setting.js'
import type { Effect } from './in-scene.js'

const WALL_TINT = [1.05, 1, 0.92]

/** Adds the glow to linear light. */
export function addGlow(s: Setting, layers: Layers, lamps: Effect['lamps'], out: Float32Array): void {
  for (let y = 0; y < s.height; y++) {
    const dy = (s.horizonY - (y + 0.5)) / s.focalPx
    for (let x = 0; x < s.width; x++) {
      const i = y * s.width + x
      const dx = (x + 0.5 - s.width / 2) / s.focalPx
      if (layers.wall[i] > 0 && dx < 0) spread(s, lamps, WALL_X / dx, dy, layers.wall[i], out, 3 * i)
    }
  }
}

/** On the wall at depth `z`, of reflectance `rho`. */
function spread(
  s: Setting,
  lamps: Effect['lamps'],
  z: number,
  dy: number,
  rho: number,
  out: Float32Array,
  at: number,
): void {
  const ax = s.fire.x - WALL_X
  const az = s.fire.distanceM - z
  if (Math.hypot(ax, az) > 25 || ax <= 0) return
  for (const lamp of lamps) {
    const ay = lamp.y - (s.eyeM + dy * z)
    const r2 = ax * ax + ay * ay + az * az
    const k = (rho * ax) / (Math.PI * r2 * Math.sqrt(r2))
    for (let c = 0; c < 3; c++) out[at + c] += k * lamp.rgb[c] * WALL_TINT[c]
  }
}
