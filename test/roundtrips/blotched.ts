/**
 * The coarse part of a camera's noise: white noise through a wide gaussian, so that two places m apart are alike by exp(−¾ m²/D²).
 *
 *   gaussian of deviation s:  ρ(m) = exp(−m² / 4s²)      s = D/√3
 *
 * A share of it is common to the channels, in red with the other sign where the blotches are of colour.
 */
import { bits, normal } from '../worlds/chance.js'

export interface Blotched {
  /** D, px. */
  readonly size: number
  /** Of the variance, in blotches: of R, G, B. */
  readonly share: readonly [number, number, number]
  /** Of the blotches' variance, common to the channels. */
  readonly shared: number
  /** Of red beside green and blue: 1 of luma, −1 of colour. */
  readonly sign: 1 | -1
}

/** In place: `noise` of unit variance, R, G, B in turn, gets its coarse part and keeps its variance. */
export function blotches(
  noise: Float32Array,
  width: number,
  height: number,
  { size, share, shared, sign }: Blotched,
  seed: number,
): void {
  const planes = [0, 1, 2, 3].map((k) => smooth(width, height, size / Math.sqrt(3), seed, k))
  const own = Math.sqrt(1 - shared)
  for (let i = 0; i < noise.length; i++) {
    const [c, p] = [i % 3, Math.floor(i / 3)]
    const common = (c === 0 ? sign : 1) * Math.sqrt(shared) * planes[3]![p]!
    noise[i] = Math.sqrt(1 - share[c]!) * noise[i]! + Math.sqrt(share[c]!) * (common + own * planes[c]![p]!)
  }
}

function smooth(width: number, height: number, s: number, seed: number, k: number): Float32Array {
  const own = bits(seed, 77, k)
  const reach = Math.ceil(4 * s)
  const taps = Float64Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * s * s)),
  )
  const energy = taps.reduce((sum, t) => sum + t * t, 0)
  const [w, h] = [width + 2 * reach, height + 2 * reach]
  const rows = new Float32Array(width * h)
  const white = new Float32Array(w)
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) white[x] = normal(own, y * w + x)
    for (let x = 0; x < width; x++) {
      let sum = 0
      for (let t = 0; t < taps.length; t++) sum += taps[t]! * white[x + t]!
      rows[y * width + x] = sum
    }
  }
  const out = new Float32Array(width * height)
  for (let y = 0; y < height; y++)
    for (let t = 0; t < taps.length; t++) {
      const [to, from, by] = [y * width, (y + t) * width, taps[t]! / energy]
      for (let x = 0; x < width; x++) out[to + x] = out[to + x]! + by * rows[from + x]!
    }
  return out
}
