/**
 * Cast light: what an emitter adds to a surface of the plate.
 *
 *   ΔL(x, y) = k · ρ/π · I · cos θ / r² · L(x, y) / L̄        I = Σ emission · m²      r² = a² + (s · m)²
 *
 *   I   intensity of the emitter on this frame, linear · m²      ρ  reflectance of the surface, a stated share
 *   m   metres per plate pixel at the emitter                    a  distance to the surface's nearest point, m
 *   s   pixels further away than that nearest point, in the picture
 *   L̄   mean light of the surface before; L/L̄ is its own texture, so that a stain stays a stain
 *   k   factor, 1 as derived
 *
 * Holds for a diffuse surface that faces the emitter about evenly and lies at about its distance from the camera.
 * Source: inverse square and Lambert's law, [pharr2023 §4.1].
 */
import type { Region, Rgb } from '../../../core/index.js'

export interface Surface {
  readonly polygon: readonly (readonly [number, number])[]
  readonly awayM: number
  readonly facing: number
  readonly reflectance: number
  readonly featherPx: number
  /** Mean light of the surface before the emitter shines on it. */
  readonly mean: Rgb
}

/** An emitter on one frame. */
export interface Emission {
  /** Σ of placed emission over pixels, linear; times metresPerPixel² it is an intensity. */
  readonly total: Rgb
  /** Where its centre lies, plate pixels. */
  readonly x: number
  readonly y: number
}

/** Distance in pixels from a point to the polygon's border; negative inside. */
export function signedDistance(polygon: Surface['polygon'], x: number, y: number): number {
  let nearest = Number.POSITIVE_INFINITY
  let inside = false
  for (let i = 0, j = polygon.length - 1; i < polygon.length; j = i++) {
    const [ax, ay] = polygon[i] as readonly [number, number]
    const [bx, by] = polygon[j] as readonly [number, number]
    const dx = bx - ax
    const dy = by - ay
    const t = Math.min(Math.max(((x - ax) * dx + (y - ay) * dy) / Math.max(dx * dx + dy * dy, 1e-9), 0), 1)
    nearest = Math.min(nearest, (x - ax - t * dx) ** 2 + (y - ay - t * dy) ** 2)
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside
  }
  return (inside ? -1 : 1) * Math.sqrt(nearest)
}

/** Everything that the surface's light can touch. */
export function surfaceReach(s: Surface): Region {
  const xs = s.polygon.map((p) => p[0])
  const ys = s.polygon.map((p) => p[1])
  const half = s.featherPx / 2 + 1
  const x = Math.floor(Math.min(...xs) - half)
  const y = Math.floor(Math.min(...ys) - half)
  return { x, y, width: Math.ceil(Math.max(...xs) + half) - x, height: Math.ceil(Math.max(...ys) + half) - y }
}

/** Share of the surface at a pixel centre, 0 to 1, soft over `featherPx`. */
export function surfaceShare(s: Surface, x: number, y: number): number {
  const d = signedDistance(s.polygon, x + 0.5, y + 0.5)
  const t = Math.min(Math.max(0.5 - d / Math.max(s.featherPx, 1), 0), 1)
  return t * t * (3 - 2 * t)
}

/** Relative rise ΔL / L per channel at the nearest point, and how it falls off over the picture. */
export function castRise(s: Surface, e: Emission, metresPerPixel: number, factor: number) {
  const near = Math.max(signedDistance(s.polygon, e.x, e.y), 0)
  const strength = ((factor * s.reflectance) / Math.PI) * s.facing * metresPerPixel ** 2
  const rise = (c: 0 | 1 | 2) => (strength * Math.max(e.total[c], 0)) / Math.max(s.mean[c], 1e-4)
  const peak: Rgb = [rise(0), rise(1), rise(2)]
  const falloff = (x: number, y: number) => {
    const further = Math.max(Math.hypot(x + 0.5 - e.x, y + 0.5 - e.y) - near, 0) * metresPerPixel
    return 1 / (s.awayM * s.awayM + further * further)
  }
  return { peak, falloff }
}
