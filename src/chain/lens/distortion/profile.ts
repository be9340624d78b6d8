/**
 * A published lens profile: what was measured at some focal lengths, for the focal length and the picture at hand.
 *
 *   term(f) = H(f_i·t_i, f_j·t_j; u) / f      u = (f − f_i) / (f_j − f_i)
 *
 *   f_i, f_j  mm  neighbours of f that were measured      t_i, t_j  their terms
 *   H  cubic Hermite; its slope at a neighbour is half the difference between those on its two sides, or the one difference there is
 *
 * Beyond what was measured the nearest one holds. The published data counts radii in half the short side of the pictures it was
 * measured on; a plate of another size of sensor sees another part of the same lens:
 *
 *   s = h / h_c         h, h_c  mm  half the short side of the plate's part of the sensor, and of the calibration's
 *   h_c = 21.633 / (crop · √(1 + aspect²))      crop  diagonal of 36 × 24 mm over that of the calibration's pictures
 *   r_d = r·g(s·r)
 *
 * The forms with a size of their own keep r = 1 where it is on the plate: r is counted in q, with q·g(s·q) = 1. The scale of the plate
 * without distortion is free, and theirs is chosen so.
 *
 * Source: [lensfun-db] (library 0.3.3; interpolation and units).
 */
import { type Distortion, distortionWays } from './model.js'

export interface Measured {
  readonly focalLengthMm: number
  readonly distortion: Distortion
}

export interface LensProfile {
  readonly maker: string
  readonly model: string
  readonly cropFactor: number
  /** Long side over short side of the pictures that it was measured on. */
  readonly aspect: number
  /** Ascending focal lengths, all of one form. */
  readonly measured: readonly Measured[]
}

/** Half the diagonal of 36 × 24 mm. */
const HALF_DIAGONAL_MM = Math.sqrt(36 ** 2 + 24 ** 2) / 2

/** Terms for any focal length, in the profile's own unit. */
export function atFocalLength({ measured }: LensProfile, f: number): Distortion {
  const all = measured.map((m) => ({ focalLengthMm: m.focalLengthMm, terms: m.distortion.terms }))
  return { form: (measured[0] as Measured).distortion.form, terms: atFocal(all, f, () => true) }
}

interface AtFocal {
  readonly focalLengthMm: number
  readonly terms: readonly number[]
}

/** @param measured ascending, one at least; @param grows whether it is the term times the focal length that runs smoothly */
export function atFocal(
  measured: readonly AtFocal[],
  f: number,
  grows: (term: number) => boolean,
): readonly number[] {
  const after = measured.findIndex((m) => m.focalLengthMm >= f)
  const [first, last] = [measured[0], measured.at(-1)] as [AtFocal, AtFocal]
  if (after <= 0) return after < 0 ? last.terms : first.terms
  const [i, j] = [measured[after - 1], measured[after]] as [AtFocal, AtFocal]
  if (j.focalLengthMm === f) return j.terms
  const u = (f - i.focalLengthMm) / (j.focalLengthMm - i.focalLengthMm)
  return j.terms.map((_, k) => {
    const by = (focal: number) => (grows(k) ? focal : 1)
    const at = (m: AtFocal | undefined) => m && by(m.focalLengthMm) * (m.terms[k] as number)
    const [a, b] = [at(i) as number, at(j) as number]
    const [before, next] = [at(measured[after - 2]), at(measured[after + 1])]
    return hermite(before ?? 2 * a - b, a, b, next ?? 2 * b - a, u) / by(f)
  })
}

function hermite(before: number, a: number, b: number, next: number, u: number): number {
  const [atA, atB] = [(b - before) / 2, (next - a) / 2]
  const [u2, u3] = [u * u, u * u * u]
  return (2 * u3 - 3 * u2 + 1) * a + (3 * u2 - 2 * u3) * b + (u3 - 2 * u2 + u) * atA + (u3 - u2) * atB
}

/** Half the short side of the pictures that it was measured on, mm. */
export function calibratedHalf({ cropFactor, aspect }: Pick<LensProfile, 'cropFactor' | 'aspect'>): number {
  return HALF_DIAGONAL_MM / (cropFactor * Math.sqrt(1 + aspect * aspect))
}

/**
 * The same lens where 1 is another radius. @param s that radius in the old unit
 * @throws Problem `lens.distortion-folds`
 */
export function inUnit({ form, terms }: Distortion, s: number): Distortion {
  const [a = 0, b = 0, c = 0] = terms
  switch (form) {
    case 'brown-conrady': {
      const [k1 = 0, k2 = 0, p1 = 0, p2 = 0, k3 = 0] = terms
      return { form, terms: [k1 * s ** 2, k2 * s ** 4, p1 * s, p2 * s, k3 * s ** 6] }
    }
    case 'map':
      // Published profiles hold none; a map spans its picture, whatever the unit.
      return { form, terms: terms.map((v) => v / s) }
    case 'division':
    case 'poly5':
      return { form, terms: [a * s ** 2, b * s ** 4].slice(0, terms.length) }
    case 'poly3': {
      const q = fixed({ form, terms }, s)
      return { form, terms: [a * s ** 2 * q ** 3] }
    }
    case 'ptlens': {
      const q = fixed({ form, terms }, s)
      return { form, terms: [a * s ** 3 * q ** 4, b * s ** 2 * q ** 3, c * s * q ** 2] }
    }
  }
}

/** The undistorted radius, in the new unit, that lands on 1. */
function fixed(d: Distortion, s: number): number {
  return distortionWays(d).undistort(s, 0)[0] / s
}
