/**
 * How a gaussian of a given σ is made: halvings, a short filter on the small picture, and back up by cubic B-splines.
 *
 *   down  c′ᵢ = (c₂ᵢ₋₂ + 4·c₂ᵢ₋₁ + 6·c₂ᵢ + 4·c₂ᵢ₊₁ + c₂ᵢ₊₂)/16    each halving adds a variance of 1 of its own pixels
 *   up    v(x) = Σ cⱼ·β³(x/2ᵏ − j)                                adds 1/3 of a small pixel's square
 *   taps  hₙ = e^(−u²/2)·(1 + q·(u⁴ − 6u² + 3)/s⁴), u = n/s
 *
 *   s²  σ²/4ᵏ less what the halvings and the splines add, in small pixels
 *   q   the fourth cumulant that they lack, over 4!: (Σ 4⁻²ʲ⁻²)/3 + 1/720, j = 1 … k; the taps make it good
 *
 * The small picture's σ lies between 4 and 8 pixels; below 8 the filter works on the picture itself. Grids are
 * anchored at the frame's origin.
 *
 * Source: [unser1999] for the splines; [abramowitz1964 §26.2.47] (Gram–Charlier) for the taps.
 */
import { exp, type Region } from '../../core/index.js'

/** σ on the small picture that is still halved no further. */
const LEAST_SIGMA = 4
/** Standard deviations that the taps reach: what is cut off is 6e-5 of the peak. */
const REACH = 4.4

export interface GaussianPlan {
  /** How often the picture is halved. */
  readonly levels: number
  /** Symmetric taps from the middle outwards, of sum 1. */
  readonly taps: Float32Array
  /** Pixels around a pixel that can reach it. */
  readonly reach: number
}

/** `sigma` in pixels, above 0. */
export function gaussianPlan(sigma: number): GaussianPlan {
  let levels = 0
  while (sigma / 2 ** (levels + 1) >= LEAST_SIGMA) levels++
  const small = sigma / 2 ** levels
  let variance = small * small
  let lack = 0
  if (levels > 0) {
    variance -= 1 / 3
    lack = 1 / 720
  }
  for (let j = 1; j <= levels; j++) {
    variance -= 4 ** -j
    lack += 4 ** (-2 * j - 2) / 3
  }
  const s = Math.sqrt(variance)
  const half = Math.max(Math.ceil(REACH * s), 1)
  const taps = Array.from({ length: half + 1 }, (_, n) => {
    const u = (n / s) * (n / s)
    return exp(-u / 2) * (1 + (lack * (u * u - 6 * u + 3)) / (variance * variance))
  })
  const sum = taps.reduce((total, t, n) => total + (n === 0 ? t : 2 * t), 0)
  const size = 2 ** levels
  const reach = levels === 0 ? half : size * (half + 2) + 2 * (size - 1)
  return { levels, taps: Float32Array.from(taps, (t) => t / sum), reach }
}

/** What each level must hold, so that `region` comes out of `source`. */
export interface Grids {
  /** Of the picture and of each halving: all that is not 0 and is looked at. */
  readonly known: readonly Region[]
  /** Of the smallest picture: what is filtered. */
  readonly filtered: Region
}

export function gaussianGrids({ levels, taps }: GaussianPlan, source: Region, region: Region): Grids {
  const half = taps.length - 1
  const size = 2 ** levels
  const axis = (from: number, length: number, start: number, count: number) => {
    const first = levels === 0 ? start : Math.floor(start / size) - 1
    const last = levels === 0 ? start + count - 1 : Math.floor((start + count - 1) / size) + 2
    // Looked at, from the smallest up: first and last of each.
    const seen: [number, number][] = [[first - half, last + half]]
    for (let l = 0; l < levels; l++) {
      const [a, b] = seen[0]
      seen.unshift([2 * a - 2, 2 * b + 2])
    }
    let [a, b] = [from, from + length - 1]
    const known = seen.map(([low, high], l) => {
      if (l > 0) [a, b] = [Math.ceil((a - 2) / 2), Math.floor((b + 2) / 2)]
      a = Math.max(a, low)
      b = Math.min(b, high)
      return { from: a, length: Math.max(b - a + 1, 0) }
    })
    return { known, first, length: last - first + 1 }
  }
  const x = axis(source.x, source.width, region.x, region.width)
  const y = axis(source.y, source.height, region.y, region.height)
  return {
    known: x.known.map((k, l) => ({
      x: k.from,
      y: y.known[l].from,
      width: k.length,
      height: y.known[l].length,
    })),
    filtered: { x: x.first, y: y.first, width: x.length, height: y.length },
  }
}

/** Weights of the four small pixels around a pixel, for each of its 2ᵏ places between them. */
export function splineWeights(levels: number): Float32Array {
  const size = 2 ** levels
  return Float32Array.from({ length: 4 * size }, (_, i) => {
    const f = (i >> 2) / size
    const g = 1 - f
    if (i % 4 === 0) return (g * g * g) / 6
    if (i % 4 === 1) return (3 * f * f * f - 6 * f * f + 4) / 6
    if (i % 4 === 2) return (3 * g * g * g - 6 * g * g + 4) / 6
    return (f * f * f) / 6
  })
}
