/** The near wall of board-marked concrete, the quay's ground with its damp and puddles, the drum that the fire stands in. */
import { chance, fbm, mix, noise, step } from '../chance.js'
import type { Setting } from '../setting.js'

export const WALL_X = -5.3
export const WALL_Z0 = 12
export const WALL_Z1 = 39
export const WALL_TOP = 3 + 3.35
export const GROUND_Y = 3
export const QUAY_END = 51

/** Reflectance of the wall's face at (z along, y up): lifts, ties, streaks, stains, blooms of salt. */
export function wallReflectance(s: Setting, z: number, y: number, tint: Float64Array): number {
  const h = y - GROUND_Y
  const board = 0.155
  const row = Math.floor(h / board)
  const inRow = h / board - row
  const panel = Math.floor(z / 2.4)
  const inPanel = z / 2.4 - panel
  let rho =
    0.25 + 0.035 * (chance(s.seed, row, panel, 31) - 0.5) + 0.03 * (chance(s.seed, panel, 0, 32) - 0.5)
  // Board joints and panel joints: dark lines with a light lip.
  rho *= 1 - 0.3 * step(0.055, 0.0, Math.min(inRow, 1 - inRow)) * (0.4 + 0.6 * chance(s.seed, row, panel, 33))
  rho *= 1 - 0.5 * step(0.006, 0.002, Math.min(inPanel, 1 - inPanel))
  // Lifts: each pour has its own tone and a ragged line.
  const lift = h + 0.03 * fbm(z * 1.5, 4.4, 1, 3)
  rho *= lift > 2.3 ? 1.1 : lift > 1.15 ? 0.96 : 1.03
  rho *= 1 - 0.25 * step(0.03, 0.005, Math.min(Math.abs(lift - 2.3), Math.abs(lift - 1.15)))
  // Tie holes.
  const tz = z / 1.2 - Math.floor(z / 1.2) - 0.5
  const ty = h / 1.15 - Math.floor(h / 1.15) - 0.55
  const hole = Math.hypot(tz * 1.2, ty * 1.15)
  if (hole < 0.035) rho *= 0.35
  else if (hole < 0.12 && ty < 0) rho *= 0.94
  // Water has run from the top: streaks, long and thin, fading down.
  const run = fbm(z * 5.2, h * 0.16, 2.2 + s.seed, 5, 0.6)
  const thin = fbm(z * 17, h * 0.25, 6.1, 3)
  const reach = step(0.1, 3.2, h + 1.7 * noise(z * 1.1, 3.3, s.seed))
  rho *= 1 - 0.5 * step(0.02, 0.5, run) * reach - 0.18 * step(0.1, 0.5, thin) * reach
  // Salt bloom, blotches, grain, pits.
  const bloom = step(0.22, 0.6, fbm(z * 0.8, h * 1.1, 12 + s.seed, 5))
  rho += 0.075 * bloom
  rho *= 1 + 0.42 * fbm(z * 0.55, h * 0.7, 7.7 + s.seed, 6, 0.58)
  rho *= 1 + 0.22 * fbm(z * 9, h * 9, 3.1, 4, 0.7)
  if (noise(z * 24, h * 24, 5.5) > 0.62) rho *= 0.6
  // Rising damp and algae at the foot, dirt under the coping.
  const foot = h + 0.35 * fbm(z * 1.3, h, 2.9, 4)
  const damp = step(0.85, 0.1, foot)
  rho *= 1 - 0.55 * damp
  rho *= 1 - 0.45 * step(WALL_TOP - 0.28 - GROUND_Y, WALL_TOP - GROUND_Y, h + 0.12 * noise(z * 3, 0, 1))
  const rust =
    step(0.9, 0.98, noise(Math.floor(z / 1.2) * 7.7, 3.1, 9) + 0.55) *
    step(0.05, 0.01, Math.abs(tz * 1.2)) *
    (ty < 0 ? 1 : 0)
  tint[0] = 1.05 + 0.25 * rust - 0.06 * damp
  tint[1] = 1 - 0.1 * rust + 0.03 * damp
  tint[2] = 0.92 - 0.3 * rust - 0.07 * damp + 0.04 * bloom
  return Math.max(0.03, rho)
}

/** Ground: reflectance, and how wet it is (0 dry, 1 a puddle). */
export function ground(s: Setting, x: number, z: number, tint: Float64Array): { rho: number; wet: number } {
  const slab = 4.2
  const jx = (x + 1.1) / slab
  const jz = (z + 0.7) / slab
  const ix = Math.floor(jx)
  const iz = Math.floor(jz)
  const edge = Math.min(jx - ix, ix + 1 - jx, jz - iz, iz + 1 - jz) * slab
  let rho = 0.25 * (0.85 + 0.3 * chance(s.seed, ix, iz, 41))
  rho *= 1 + 0.5 * fbm(x * 0.5, z * 0.5, 4 + s.seed, 6, 0.6)
  rho *= 1 + 0.25 * fbm(x * 5, z * 5, 2.2, 4, 0.7)
  const low = fbm(x * 0.33, z * 0.2, 20 + s.seed, 5, 0.52) + 0.25 * step(2.2, 0.4, x - WALL_X)
  const damp = step(-0.02, 0.34, low)
  const wet = step(0.33, 0.4, low + 0.05 * fbm(x * 2.3, z * 1.2, 71, 3)) * step(0.01, 0.05, edge)
  rho *= 1 - 0.5 * damp
  if (edge < 0.035) rho *= 0.35
  // Cracks, oil, old tyre marks.
  const crack = Math.abs(fbm(x * 0.8, z * 0.8, 33, 5, 0.6))
  if (crack < 0.008) rho *= 0.45
  rho *= 1 - 0.4 * step(0.3, 0.5, fbm(x * 0.9, z * 0.9, 51, 3))
  const tyre = Math.abs(x - 1.2 - 0.03 * z + 0.4 * Math.sin(z * 0.08)) % 1.7
  rho *= 1 - 0.16 * step(0.22, 0.1, Math.abs(tyre - 0.8))
  tint[0] = 1.04
  tint[1] = 1
  tint[2] = 0.93
  return { rho: Math.max(0.02, rho), wet: 0.22 * damp + 0.78 * wet }
}

/** Drum: distance to its side, or infinity; the normal's x and z in `n`. */
export function drum(
  s: Setting,
  o: { ox: number; oy: number; dx: number; dy: number },
  n: Float64Array,
): number {
  const cx = s.fire.x
  const cz = s.fire.distanceM
  const r = 0.29
  const px = o.ox - cx
  const a = o.dx * o.dx + 1
  const b = o.dx * px - cz
  const c = px * px + cz * cz - r * r
  const d = b * b - a * c
  if (d < 0) return Number.POSITIVE_INFINITY
  const t = (-b - Math.sqrt(d)) / a
  const y = o.oy + t * o.dy
  if (y < GROUND_Y || y > GROUND_Y + 0.87) return Number.POSITIVE_INFINITY
  n[0] = (o.ox + t * o.dx - cx) / r
  n[1] = mix(0, 0.1, noise(y * 9, 0, 0))
  n[2] = (t - cz) / r
  return t
}
