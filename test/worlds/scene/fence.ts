/**
 * The fence in the foreground: chain link on round posts with a top rail, in an upright plane that runs slightly away
 * to the left. What lies before the effect: the holdout.
 */
import { chance, fbm, step } from '../chance.js'
import type { Setting } from '../setting.js'

const X0 = -0.5
const Z0 = 16.6
const X1 = 7.5
const Z1 = 13.2
const LEN = Math.hypot(X1 - X0, Z1 - Z0)
const UX = (X1 - X0) / LEN
const UZ = (Z1 - Z0) / LEN
const TOP = 3 + 2.62
const WIRE = 0.0024
const MESH = 0.075

/** Share of light, colour and distance where a ray meets the fence; infinity where it passes. */
export function traceFence(
  s: Setting,
  o: { ox: number; oy: number; dx: number; dy: number },
  ambient: Float64Array,
  out: Float64Array,
): number {
  // Plane through (X0, Z0) along (UX, UZ): (x − X0)·UZ − (z − Z0)·UX = 0.
  const t = (Z0 * -UX + (X0 - o.ox) * UZ) / (o.dx * UZ - UX)
  if (!(t > 1)) return Number.POSITIVE_INFINITY
  const x = o.ox + t * o.dx
  const y = o.oy + t * o.dy
  const u = (x - X0) * UX + (t - Z0) * UZ
  if (u < -0.04 || u > LEN || y > TOP + 0.16) return Number.POSITIVE_INFINITY
  const bay = 2.45
  const post = Math.round(u / bay)
  const fromPost = u - post * bay
  let across = 9
  let rho = 0
  if (Math.abs(fromPost) < 0.034 && y < TOP + 0.11) {
    across = fromPost / 0.034
    rho = 0.4
  } else if (Math.abs(y - TOP) < 0.022) {
    across = (y - TOP) / 0.022
    rho = 0.42
  } else if (y < TOP) {
    // Slack wire: the mesh sags and leans a little from bay to bay.
    const sag = 0.012 * fbm(u * 0.9, y * 0.8, 3.3, 2) + 0.02 * (chance(s.seed, post, 61) - 0.5)
    const p = (u + sag) / MESH + (y * 0.97 + sag) / MESH
    const q = (u + sag) / MESH - (y * 0.97 + sag) / MESH
    const a = (p - Math.round(p)) * MESH * Math.SQRT1_2
    const b = (q - Math.round(q)) * MESH * Math.SQRT1_2
    const r = Math.abs(a) < Math.abs(b) ? a : b
    if (Math.abs(r) < WIRE) {
      across = r / WIRE
      rho = 0.5
    } else if (Math.abs(y - 4.35) < 0.0026) {
      across = (y - 4.35) / 0.0026
      rho = 0.4
    }
  }
  if (across > 1.01) return Number.POSITIVE_INFINITY
  const round = Math.sqrt(Math.max(0, 1 - across * across))
  const rust = 0.5 + 0.5 * fbm(u * 2.3, y * 2.3, 8.8, 4)
  const side = 0.5 + 0.4 * round + 0.28 * across
  const f = (rho * side) / Math.PI
  const stain = step(0.55, 0.8, rust)
  out[0] = ambient[0] * f * (0.97 + 0.3 * stain)
  out[1] = ambient[1] * f
  out[2] = ambient[2] * f * (1 - 0.35 * stain)
  return t
}
