/**
 * Variance of noise out of block variances of which only some are noise alone: the others hold texture too and lie above.
 *
 *   v ~ σ² χ²_k / k      ∛v ≈ normal with mean ∛σ² (1 − h) and deviation ∛σ² √h      h = 2 / (9 k)
 *
 *   k  degrees of freedom of a block     p  share of the blocks that are noise alone
 *
 * The lower part of all v is then the lower part of p · n draws: for the right p, its lower and its upper ranks name one σ². The largest
 * share for which they agree is taken. Where none does, the picture has no flat place at that level.
 *
 * Source: [wilson1931] for the cube root; [foi2008] for noise against level.
 */
import { pow } from '../../../core/index.js'
import { normalQuantiles } from '../../../kernels/index.js'

export interface Tail {
  /** σ². */
  readonly variance: number
  /** One standard deviation of it. */
  readonly spread: number
  /** Variances above this hold texture. */
  readonly limit: number
}

const SHARES = [1, 0.85, 0.7, 0.58, 0.48, 0.4, 0.32, 0.25]
const LEAST = 20
/** Where few blocks are noise alone, the quietest texture may pass for it: of σ², a choice that round trips bear out. */
const TEXTURE = 1
const CAUTION = 8
/** Ranks that are compared, as parts of the draws. */
const [FIRST, MIDDLE, LAST] = [0.04, 0.3, 0.6]

/** @param variances ascending */
export function noiseOf(variances: readonly number[], freedom: number): Tail | undefined {
  const h = 2 / (9 * freedom)
  const roots = variances.map((v) => pow(v, 1 / 3))
  for (const share of SHARES) {
    const m = share * roots.length
    if (m < LEAST) return undefined
    const mean = (from: number, to: number) => {
      let [sum, n] = [0, 0]
      for (let r = Math.floor(from * m); r < to * m; r++, n++)
        sum += (roots[r] as number) / (1 - h + Math.sqrt(h) * normalAt((r + 0.5) / m))
      return sum / n
    }
    const [low, high] = [mean(FIRST, MIDDLE), mean(MIDDLE, LAST)]
    const chance = 1.5 * Math.sqrt(h / (0.3 * m))
    if (!(high / low - 1 <= 1.5 * chance + 0.004)) continue
    const s = mean(FIRST, LAST)
    const off =
      CAUTION * Math.max(Math.sqrt(h / (0.5 * m)), Math.abs(high / low - 1) / 2) + TEXTURE * (1 - share)
    return { variance: s ** 3, spread: s ** 3 * off, limit: (s * (1 + 2.5 * Math.sqrt(h))) ** 3 }
  }
  return undefined
}

/**
 * What noise that is correlated along both axes makes of a block's figures: `wide` times the variance of its mean, `fewer` times fewer
 * degrees of freedom.
 */
export function coarseness(x: number, y: number): { wide: number; fewer: number } {
  const [a, b] = [x * x, y * y]
  return { wide: ((1 + x) / (1 - x)) * ((1 + y) / (1 - y)), fewer: ((1 + a) / (1 - a)) * ((1 + b) / (1 - b)) }
}

/** Of a standard normal number, the value below which this share of draws lies. */
function normalAt(share: number): number {
  return normalQuantiles[Math.round(share * (normalQuantiles.length - 1))] as number
}
