/**
 * A published profile's fall-off, for the focal length, the aperture and the distance at hand.
 *
 *   k = Σ wᵢ·kᵢ / Σ wᵢ     wᵢ = dᵢ^−3.5     d² = ((f − fᵢ) / (f_max − f_min))² + (4/N − 4/Nᵢ)² + (0.1/s − 0.1/sᵢ)²
 *
 *   f   focal length, of a lens that goes from f_min to f_max; the term is f − fᵢ where it has one   mm
 *   N   f-number      s   focus distance   m      kᵢ  terms of measurement i
 *
 * A measurement nearer than 10⁻⁴ counts alone; where the nearest is farther than 1, nobody measured anything like it. The published data
 * counts radii in half the diagonal of the pictures it was measured on: a plate of a smaller sensor sees the middle, r·s with
 * s = crop of the calibration / crop of the plate.
 *
 * Source: [lensfun-db] (library 0.3.3; interpolation and units), after [shepard1968].
 */
import { pow } from '../../../core/index.js'
import type { Vignette } from './model.js'

export interface MeasuredFalloff {
  readonly focalLengthMm: number
  readonly fNumber: number
  readonly distanceM: number
  readonly terms: Vignette
}

export interface PublishedFalloff {
  /** Of the lens, shortest and longest. */
  readonly focalMm: readonly [number, number]
  readonly measured: readonly MeasuredFalloff[]
}

const POWER = -3.5
const AT_ONCE = 1e-4
const TOO_FAR = 1

/** In the profile's own unit; undefined where nothing was measured near enough. */
export function falloffFor(
  { focalMm: [shortest, longest], measured }: PublishedFalloff,
  f: number,
  fNumber: number,
  distanceM: number,
): Vignette | undefined {
  const span = longest > shortest ? longest - shortest : 1
  const all = measured.map((m) => {
    const [a, b, c] = [
      (m.focalLengthMm - f) / span,
      4 / m.fNumber - 4 / fNumber,
      0.1 / m.distanceM - 0.1 / distanceM,
    ]
    return { terms: m.terms, away: Math.sqrt(a * a + b * b + c * c) }
  })
  const nearest = all.reduce<(typeof all)[number] | undefined>(
    (best, m) => (best !== undefined && best.away <= m.away ? best : m),
    undefined,
  )
  if (nearest === undefined || nearest.away > TOO_FAR) return undefined
  if (nearest.away < AT_ONCE) return nearest.terms
  let [sum, k1, k2, k3] = [0, 0, 0, 0]
  for (const { terms, away } of all) {
    const w = pow(away, POWER)
    sum += w
    k1 += w * terms[0]
    k2 += w * terms[1]
    k3 += w * terms[2]
  }
  return [k1 / sum, k2 / sum, k3 / sum]
}

/** The same where 1 is another radius. @param s that radius in the old unit */
export function falloffInUnit([k1, k2, k3]: Vignette, s: number): Vignette {
  return [k1 * s ** 2, k2 * s ** 4, k3 * s ** 6]
}
