/**
 * What can be told of a place from the picture around it.
 *
 *   G = Σ ∇I ∇Iᵀ over the window, less what noise alone adds; its smaller eigenvalue is λ₂, its larger λ₁
 *   spread of a place found by least squares between two noisy pictures, along its worse direction: σ √2 / √λ₂
 *
 *   σ  noise of one picture, 256 steps. Central differences have half its variance.
 *
 * Source: [lucas1981], [shi1994]; the spread is the Cramér–Rao bound of a shift.
 */
import type { Shape } from '../../chain/place/motion/fit/pairs.js'
import type { Place } from '../../vision/index.js'
import type { Luma } from './luma.js'
import { type Cut, cut } from './patch.js'

/** Sides of the squares that are compared, px. A small one hides less behind edges of depth, a large one is surer. */
export const WINDOWS = [21, 31, 41, 61] as const
const ALONE = [31, 41, 61] as const
/** Of a picture so wide, px. */
const ALONE_AT = 1920

/**
 * The same for a point that stands alone, in a picture of this width. Where it is blurred another way than its look, what comes in at
 * the window's border draws it aside, and no other mark tells: of a photograph, streaks of 2 px apart, by 0.18 px in a square of 21, by
 * 0.05 in one of 31. A codec moves fine texture block by block, and a large picture has the larger blocks: of a board filmed in 4K a
 * square of 31 went along with one by a pixel, one of 61 did not.
 */
export function windowsAlone(width: number): readonly number[] {
  const least = (ALONE[0] * width) / ALONE_AT
  const enough = ALONE.filter((w) => w >= least)
  return enough.length > 0 ? enough : ALONE.slice(-1)
}

/** Spread with which the first window is taken that reaches it, px. */
const SURE = 0.05
/** Spread beyond which a place cannot be followed, px. */
const UNSURE = 0.2
/** What a codec leaves of flat places looks like texture of about one step of 256. Common practice. */
const LEAST_NOISE = 1
/** λ₁ / λ₂ beyond which a place can slide along an edge. */
const EDGE = 60

/** xx, xy, yy of G over a square's inner part, noise taken off. @param size side of the data; @param window of the part */
export function tensorOf(data: Float32Array, size: number, window: number, noise: number): Shape {
  const from = (size - window) >> 1
  let [xx, xy, yy] = [0, 0, 0]
  for (let j = Math.max(1, from); j < Math.min(size - 1, from + window); j++) {
    for (let i = Math.max(1, from); i < Math.min(size - 1, from + window); i++) {
      const at = j * size + i
      const dx = ((data[at + 1] as number) - (data[at - 1] as number)) / 2
      const dy = ((data[at + size] as number) - (data[at - size] as number)) / 2
      xx += dx * dx
      xy += dx * dy
      yy += dy * dy
    }
  }
  const own = (window * window * noise * noise) / 2
  return [xx - own, xy, yy - own]
}

/** λ₁ ≥ λ₂ of a symmetric matrix, 0 or more. */
export function eigenvaluesOf([xx, xy, yy]: Shape): readonly [number, number] {
  const middle = (xx + yy) / 2
  const apart = Math.sqrt(((xx - yy) / 2) ** 2 + xy * xy)
  return [Math.max(0, middle + apart), Math.max(0, middle - apart)]
}

/** λ₁ ≥ λ₂ of G over a square's inner part. */
export function eigenvalues(data: Float32Array, size: number, window: number, noise: number) {
  return eigenvaluesOf(tensorOf(data, size, window, noise))
}

/** Spread of a place, px; infinite where it is flat. */
export function spreadOf(noise: number, smaller: number): number {
  return smaller > 0 ? (noise * Math.SQRT2) / Math.sqrt(smaller) : Number.POSITIVE_INFINITY
}

export type Chosen = { readonly window: number; readonly spread: number } | { readonly why: string }

/** The window that a place needs, or why it cannot be followed. */
export function chooseWindow(
  luma: Luma,
  at: Place,
  noise: number,
  windows: readonly number[] = WINDOWS,
): Chosen {
  const widest = windows[windows.length - 1] as number
  const around: Cut = cut(luma, at, widest + 2)
  const sigma = Math.max(noise, LEAST_NOISE)
  let best: { window: number; spread: number; ratio: number } | undefined
  for (const window of windows) {
    const [larger, smaller] = eigenvalues(around.data, around.size, window, sigma)
    const spread = spreadOf(sigma, smaller)
    if (best === undefined || spread < best.spread)
      best = { window, spread, ratio: larger / Math.max(smaller, 1e-9) }
    if (spread <= SURE && larger <= EDGE * smaller) return { window, spread }
  }
  const { window, spread, ratio } = best as NonNullable<typeof best>
  const [larger] = eigenvalues(around.data, around.size, widest, sigma)
  if (spreadOf(sigma, larger) > UNSURE)
    return { why: 'the picture is flat there: it has nothing to hold on to' }
  if (ratio > EDGE) return { why: 'there is only an edge there: along it one place looks like the next' }
  if (spread > UNSURE)
    return { why: 'the picture is nearly flat there: its texture does not stand out from the noise' }
  return { window, spread }
}

/** Side of the squares in which noise is measured, px. */
const BLOCK = 16
/** Share of squares that are supposed to hold noise alone. */
const PLAIN = 0.15

/**
 * Noise of a picture, 256 steps: the second difference both ways, whose weights cancel slopes, in the plainest squares that are not
 * clipped. Source: [immerkaer1996].
 */
export function noiseOf(luma: Luma): number {
  const { width, height, data, step } = luma
  const sigmas: number[] = []
  for (let y = 1; y + BLOCK < height; y += BLOCK) {
    for (let x = 1; x + BLOCK < width; x += BLOCK) {
      let sum = 0
      let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
      for (let j = y; j < y + BLOCK; j++) {
        for (let i = x; i < x + BLOCK; i++) {
          const at = j * width + i
          const v = (k: number) => data[at + k] as number
          const d =
            v(-width - 1) -
            2 * v(-width) +
            v(1 - width) -
            2 * v(-1) +
            4 * v(0) -
            2 * v(1) +
            v(width - 1) -
            2 * v(width) +
            v(width + 1)
          sum += Math.abs(d)
          const own = v(0)
          if (own < least) least = own
          if (own > most) most = own
        }
      }
      if (most > least) sigmas.push(((sum / (BLOCK * BLOCK)) * Math.sqrt(Math.PI / 2)) / (6 * step))
    }
  }
  sigmas.sort((a, b) => a - b)
  return sigmas[Math.floor(PLAIN * sigmas.length)] ?? 0
}
