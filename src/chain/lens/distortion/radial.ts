/**
 * Distortion along the radius alone, in the forms of published lens profiles and of the division model.
 *
 *   poly3     r_d = r·(1 − k1 + k1·r²)
 *   poly5     r_d = r·(1 + k1·r² + k2·r⁴)
 *   ptlens    r_d = r·(a·r³ + b·r² + c·r + 1 − a − b − c)
 *   division  r   = r_d / (1 + λ1·r_d² + λ2·r_d⁴)
 *
 *   r  from the lens's axis to where a lens without distortion draws a point      r_d  to where this one does
 *   1 is half the picture's short side
 *
 * poly3 and ptlens keep r = 1 where it is, and so have a size of their own in the middle (1 − k1; 1 − a − b − c). The other way is
 * Newton's iteration along the radius, as of the Brown-Conrady form. Holds where r_d grows with r. Source: [lensfun-db], [fitzgibbon2001].
 */
import { foldsOver, LAST_STEP, MOST_STEPS } from './folds.js'
import type { DistortionForm } from './model.js'

/** What one radius becomes, and how fast that grows with it. */
type Profile = (r: number) => readonly [length: number, slope: number]
type Way = (x: number, y: number) => [number, number]

export function profileOf(
  form: Exclude<DistortionForm, 'brown-conrady' | 'map'>,
  terms: readonly number[],
): Profile {
  const [a = 0, b = 0, c = 0] = terms
  switch (form) {
    case 'poly3':
      return (r) => [r * (1 - a + a * r * r), 1 - a + 3 * a * r * r]
    case 'poly5':
      return (r) => [r * (1 + r * r * (a + b * r * r)), 1 + r * r * (3 * a + 5 * b * r * r)]
    case 'ptlens': {
      const d = 1 - a - b - c
      return (r) => [r * (((a * r + b) * r + c) * r + d), ((4 * a * r + 3 * b) * r + 2 * c) * r + d]
    }
    case 'division':
      return (r) => {
        const under = 1 + r * r * (a + b * r * r)
        return [r / under, (1 - r * r * (a + 3 * b * r * r)) / (under * under)]
      }
  }
}

/** The way that the profile tells, and the one that is sought. @param name for what is said where it folds */
export function outward(profile: Profile, name: string): { readonly told: Way; readonly sought: Way } {
  const along =
    (length: (r: number) => number, middle: number): Way =>
    (x, y) => {
      const r = Math.sqrt(x * x + y * y)
      const scale = r === 0 ? middle : length(r) / r
      return [scale * x, scale * y]
    }
  const [, middle] = profile(0)
  if (!(middle > 0)) throw foldsOver(name)
  return {
    told: along((r) => profile(r)[0], middle),
    sought: along((r) => radiusOf(profile, r, name), 1 / middle),
  }
}

function radiusOf(profile: Profile, wanted: number, name: string): number {
  let r = wanted
  for (let i = 0; i < MOST_STEPS; i++) {
    const [length, slope] = profile(r)
    if (!(slope > 0)) break
    const step = (wanted - length) / slope
    r += step
    if (Math.abs(step) < LAST_STEP) return r
  }
  throw foldsOver(name)
}
