/**
 * How long the streaks of an element are in a finished picture: by which of several shutters it is told best.
 *
 *   F − B ≈ g · D(θ)      D = P(θ) − B, straight between two angles      e(θ) = |F − B|² − <F − B, D>² / |D|², least at the angle
 *   σθ² = s² · n · e / (N · g² · |D′|²)      D′ = dD/dθ, less its part along D
 *
 *   F  finished picture   B  the plate without the element   P(θ)  the element laid over it as a shutter of θ° makes it
 *   g  how strong it is there, which is left free   N  samples   n  neighbours whose errors go together
 *
 * In code values, and only where the pictures differ: at the edges that a streak softens. What treats the element's light is
 * in all of P(θ) alike, so that the length of the streak is what is left to be told. Where it lies elsewhere than it is drawn, or looks otherwise, less of F − B is
 * told, and the spread grows. Source: least squares with a free factor, common practice; limits are choices.
 */
import type { FloatImage, Reading } from '../../../core/index.js'

/** Red, green and blue in code values, 0 to 1; all of one region. */
export interface StreakPictures {
  readonly rendered: FloatImage
  readonly base: FloatImage
  /** Ascending, at least two; degrees. */
  readonly made: readonly { readonly deg: number; readonly picture: FloatImage }[]
  /** Not 0 where something else changes the plate. */
  readonly taken: Uint8Array
}

export interface StreakFit {
  readonly deg: number
  /** Standard deviation, °. */
  readonly spread: number
}

/** Less of a code than that is no difference. */
const DIFFERS = 0.01
/** Fewer pixels tell nothing. */
const LEAST = 100
/** Neighbouring errors of a codec go together. */
const LIKE = 16
/** Share of what the finished picture has beyond the plate there that must be told, and how strong it must be. */
const TOLD = 0.6
const STRONG = [0.5, 2] as const

export function measureStreaks(pictures: StreakPictures): Reading<StreakFit> {
  const { base, made } = pictures
  const where = differing(pictures)
  if (where.length < LEAST) return { cannotTell: 'it has no edges that its motion would soften' }
  const beyond = ({ data }: FloatImage) =>
    Float64Array.from({ length: 3 * where.length }, (_, k) => {
      const i = 4 * (where[Math.floor(k / 3)] as number) + (k % 3)
      return (data[i] as number) - (base.data[i] as number)
    })
  const seen = beyond(pictures.rendered)
  const each = made.map(({ deg, picture }) => ({ deg, own: beyond(picture) }))
  // No shutter undoes what an element's own has smeared: below that all are one.
  const drawn = each.filter(({ own }, k) => own.some((v, i) => v !== each[k + 1]?.own[i]))
  const all = dot(seen, seen)
  let best: Mixed | undefined
  for (let k = 0; k + 1 < drawn.length; k++) {
    const one = mixed(seen, drawn[k] as Drawn, drawn[k + 1] as Drawn)
    if (best === undefined || one.told > best.told) best = one
  }
  const { deg, told, gain, slope } = best as Mixed
  if (!(told > TOLD * all && gain > STRONG[0] && gain < STRONG[1]))
    return { cannotTell: 'the finished picture does not show it as it would be drawn' }
  const spread = Math.sqrt((LIKE * Math.max(all - told, 0)) / (seen.length * gain ** 2 * slope))
  return {
    value: { deg, spread },
    evidence: {
      kind: 'measured',
      frames: [],
      method: 'the shutter by which its streaks are told best',
      confidence: 0.7,
    },
  }
}

/** Pixels in which any two of the pictures differ. */
function differing({ made, taken }: StreakPictures): number[] {
  const first = made[0]?.picture.data as Float32Array
  const out: number[] = []
  for (let p = 0; p < taken.length; p++) {
    if (taken[p] !== 0) continue
    const differs = made.some(({ picture: { data } }) =>
      [0, 1, 2].some((c) => Math.abs((data[4 * p + c] as number) - (first[4 * p + c] as number)) > DIFFERS),
    )
    if (differs) out.push(p)
  }
  return out
}

interface Drawn {
  readonly deg: number
  readonly own: Float64Array
}

interface Mixed {
  readonly deg: number
  /** How much of the square of what is seen is told. */
  readonly told: number
  readonly gain: number
  /** |D′|² */
  readonly slope: number
}

/** The mix of two neighbours that tells most. */
function mixed(seen: Float64Array, from: Drawn, to: Drawn): Mixed {
  const [a, b] = [from.own, to.own]
  const [aa, ab, bb] = [dot(a, a), dot(a, b), dot(b, b)]
  const [as, bs] = [dot(a, seen), dot(b, seen)]
  const det = aa * bb - ab * ab
  const [p, q] = [(as * bb - bs * ab) / det, (bs * aa - as * ab) / det]
  const inside = p >= 0 && q >= 0 && p + q > 0
  const share = inside ? q / (p + q) : as * as * bb >= bs * bs * aa ? 0 : 1
  const own = (1 - share) ** 2 * aa + 2 * share * (1 - share) * ab + share ** 2 * bb
  const along = (1 - share) * as + share * bs
  const step = to.deg - from.deg
  const steps = (1 - share) * (ab - aa) + share * (bb - ab)
  const slope = Math.max(aa - 2 * ab + bb - steps ** 2 / own, 0) / step ** 2
  return { deg: from.deg + share * step, told: along ** 2 / own, gain: along / own, slope }
}

function dot(a: Float64Array, b: Float64Array): number {
  return a.reduce((sum, v, i) => sum + v * (b[i] as number), 0)
}
