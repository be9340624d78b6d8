/**
 * Cast light: what an emitter adds to a flat surface of the plate.
 *
 *   ΔL(x, y) = k · ρ/π · I · a / r³ · L(x, y) / L̄        I = Σ emission · m²
 *   r² = a² + (m · Δx / cos τ)² + (m · Δy)²
 *
 *   I   intensity of the emitter on this frame, linear · m²      ρ  reflectance of the surface, a stated share
 *   m   metres per plate pixel at the emitter                    a  distance to the surface's nearest point, m
 *   Δ   plate pixels from that nearest point                     τ  turn of the surface away from the picture plane
 *   L̄   mean light of the surface before; L/L̄ is its own texture, so that a stain stays a stain
 *   k   factor, 1 as derived
 *
 * The emitter counts as three equal lamps, in its middle and √1.5 of its upright spread above and below.
 * a/r is the cosine at the surface. Holds for a diffuse plane, an emitter small against its distance, and a place at about
 * the emitter's own distance from the camera. Source: inverse square and Lambert's law, [pharr2023 §4.1].
 */
import type { Region, Rgb } from '../../../core/index.js'
import type { Lamps } from '../../../kernels/index.js'

export interface Surface {
  readonly polygon: readonly (readonly [number, number])[]
  readonly awayM: number
  readonly nearest: readonly [number, number] | undefined
  readonly turnedDeg: number
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
  /** Standard deviation of its light up and down, plate pixels. */
  readonly spreadY: number
  /** How much longer a metre is there than where its size in the picture was told; 1 when absent. */
  readonly zoom?: number
}

/** Distance in pixels from a point to the polygon's border; negative inside. */
function signedDistance(polygon: Surface['polygon'], x: number, y: number): number {
  const [nx, ny] = borderPoint(polygon, x, y)
  return (isInside(polygon, x, y) ? -1 : 1) * Math.hypot(x - nx, y - ny)
}

/** Point of the polygon, border and inside, that is nearest to (x, y). */
function nearestPoint(polygon: Surface['polygon'], x: number, y: number): readonly [number, number] {
  return isInside(polygon, x, y) ? [x, y] : borderPoint(polygon, x, y)
}

function borderPoint(polygon: Surface['polygon'], x: number, y: number): readonly [number, number] {
  let best: readonly [number, number] = [x, y]
  let least = Number.POSITIVE_INFINITY
  for (let i = 0, j = polygon.length - 1; i < polygon.length; j = i++) {
    const [ax, ay] = polygon[i] as readonly [number, number]
    const [bx, by] = polygon[j] as readonly [number, number]
    const dx = bx - ax
    const dy = by - ay
    const t = Math.min(Math.max(((x - ax) * dx + (y - ay) * dy) / Math.max(dx * dx + dy * dy, 1e-9), 0), 1)
    const away = (x - ax - t * dx) ** 2 + (y - ay - t * dy) ** 2
    if (away < least) {
      least = away
      best = [ax + t * dx, ay + t * dy]
    }
  }
  return best
}

function isInside(polygon: Surface['polygon'], x: number, y: number): boolean {
  let inside = false
  for (let i = 0, j = polygon.length - 1; i < polygon.length; j = i++) {
    const [ax, ay] = polygon[i] as readonly [number, number]
    const [bx, by] = polygon[j] as readonly [number, number]
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside
  }
  return inside
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

/** The emitter as three lamps before the surface; `peak`: relative rise ΔL / L per channel where r is 1 m. */
export function castLamps(s: Surface, e: Emission, told: number, factor: number): Lamps {
  const metresPerPixel = told / (e.zoom ?? 1)
  const strength = ((factor * s.reflectance) / Math.PI) * metresPerPixel * metresPerPixel
  const rise = (c: 0 | 1 | 2) => (strength * Math.max(e.total[c], 0)) / Math.max(s.mean[c], 1e-4)
  return {
    peak: [rise(0), rise(1), rise(2)],
    nearest: s.nearest ?? nearestPoint(s.polygon, e.x, e.y),
    across: metresPerPixel / Math.cos((s.turnedDeg * Math.PI) / 180),
    down: metresPerPixel,
    awayM: s.awayM,
    spread: Math.sqrt(1.5) * e.spreadY,
  }
}

/** The rise where r is 1 m, and how it falls off over the picture, in double precision: for meters. */
export function castRise(s: Surface, e: Emission, metresPerPixel: number, factor: number) {
  const { peak, nearest, across, down, awayM, spread } = castLamps(s, e, metresPerPixel, factor)
  const falloff = (x: number, y: number) => {
    const dx = (x + 0.5 - nearest[0]) * across
    const flat = awayM * awayM + dx * dx
    let sum = 0
    for (const lamp of [-spread, 0, spread]) {
      const dy = (y + 0.5 - nearest[1] - lamp) * down
      const far = flat + dy * dy
      sum += awayM / (far * Math.sqrt(far))
    }
    return sum / 3
  }
  return { peak, falloff }
}
