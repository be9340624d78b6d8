/**
 * By which power of its cover a colour goes, from place to place: within small blocks its own shading hardly changes, while cover
 * does wherever there is an edge.
 *
 *   p = Σ (ln α − mean)(ln c − mean) / Σ (ln α − mean)²      over the edge pixels of a block
 *
 * Straight colour has p ≈ 0, multiplied 1, multiplied twice 2. Blocks of 8 px, and their sums over 16, 32 and 64 px where an edge
 * is so soft that a small block holds too little of it. Memory does not grow with frames. Source: [porter1984].
 */

/** A block tells nothing below so many pixels, or so little change of cover (variance of ln α). */
const LEAST_PIXELS = 16
const LEAST_CHANGE = 0.03
const BLOCK = 8
const LEVELS = 4
/** Enough blocks of one size to leave the larger ones alone; and the fewest that are believed. */
const ENOUGH = 24
const FEWEST = 3
const [LOW, STEP, BINS] = [-4, 0.02, 550]

/** Powers over all blocks, weighted by how much each tells. */
export interface Powers {
  readonly middle: number
  /** Quarter to three quarters of them. */
  readonly spread: number
  readonly blocks: number
}

/** Sums of one block: n, Σx, Σy, Σxx, Σxy. */
const SUMS = 5

export class AlphaSlopes {
  private readonly histograms = Array.from({ length: LEVELS }, () => new Float64Array(BINS))
  private readonly counts = new Uint32Array(LEVELS)

  /**
   * @param cover ln α a pixel; NaN where the pixel is not on an edge or too dark @param colour ln c a pixel
   */
  add(cover: Float32Array, colour: Float32Array, width: number, height: number): void {
    let [across, down] = [Math.ceil(width / BLOCK), Math.ceil(height / BLOCK)]
    let sums = new Float64Array(SUMS * across * down)
    for (let y = 0; y < height; y++) {
      const row = Math.floor(y / BLOCK) * across
      for (let x = 0; x < width; x++) {
        const a = cover[y * width + x] as number
        const c = colour[y * width + x] as number
        if (!(a < 0 && c > -30)) continue
        const o = SUMS * (row + Math.floor(x / BLOCK))
        sums[o] = (sums[o] as number) + 1
        sums[o + 1] = (sums[o + 1] as number) + a
        sums[o + 2] = (sums[o + 2] as number) + c
        sums[o + 3] = (sums[o + 3] as number) + a * a
        sums[o + 4] = (sums[o + 4] as number) + a * c
      }
    }
    for (let level = 0; level < LEVELS; level++) {
      this.collect(level, sums)
      const [w, h] = [Math.ceil(across / 2), Math.ceil(down / 2)]
      const next = new Float64Array(SUMS * w * h)
      for (let v = 0; v < down; v++)
        for (let u = 0; u < across; u++)
          for (let k = 0; k < SUMS; k++) {
            const o = SUMS * ((v >> 1) * w + (u >> 1)) + k
            next[o] = (next[o] as number) + (sums[SUMS * (v * across + u) + k] as number)
          }
      sums = next
      across = w
      down = h
    }
  }

  private collect(level: number, sums: Float64Array): void {
    const histogram = this.histograms[level] as Float64Array
    for (let o = 0; o < sums.length; o += SUMS) {
      const n = sums[o] as number
      if (n < LEAST_PIXELS) continue
      const [a, c] = [(sums[o + 1] as number) / n, (sums[o + 2] as number) / n]
      const change = (sums[o + 3] as number) / n - a * a
      if (change < LEAST_CHANGE) continue
      const slope = ((sums[o + 4] as number) / n - a * c) / change
      const at = Math.min(BINS - 1, Math.max(0, Math.floor((slope - LOW) / STEP)))
      histogram[at] = (histogram[at] as number) + n * change
      this.counts[level] = (this.counts[level] as number) + 1
    }
  }

  /** Undefined when too few blocks tell anything. */
  powers(): Powers | undefined {
    const counts = [...this.counts]
    const level = counts.findIndex((n) => n >= ENOUGH)
    const best = level >= 0 ? level : counts.indexOf(Math.max(...counts))
    const blocks = counts[best] as number
    if (blocks < FEWEST) return undefined
    const histogram = this.histograms[best] as Float64Array
    const at = (q: number) => quantileOf(histogram, q)
    return { middle: at(0.5), spread: at(0.75) - at(0.25), blocks }
  }
}

function quantileOf(histogram: Float64Array, q: number): number {
  const limit = q * histogram.reduce((a, b) => a + b, 0)
  let sum = 0
  for (let i = 0; i < histogram.length; i++) {
    const here = histogram[i] as number
    if (here > 0 && sum + here >= limit) return LOW + STEP * (i + (limit - sum) / here)
    sum += here
  }
  return LOW + STEP * BINS
}
