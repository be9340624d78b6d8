/**
 * A thumbnail by which pictures of an element are known again: means of its light over 16 × 16 cells, by what covers.
 *
 * Samples lie alike from both sides, so that a mirrored picture has the mirrored thumbnail.
 */
export const SIDE = 16
/** Samples along a side of a cell. */
const SAMPLES = 6

export interface Planes {
  readonly width: number
  readonly height: number
  /** Any measure of lightness, row by row. */
  readonly light: ArrayLike<number>
  /** What covers, of `top`; everything where there is none. */
  readonly alpha: ArrayLike<number> | undefined
  readonly top: number
}

/** SIDE × SIDE numbers, row by row. */
export function thumbnail({ width, height, light, alpha, top }: Planes): Float32Array {
  const out = new Float32Array(SIDE * SIDE)
  const last = SIDE * SAMPLES - 1
  const at = (k: number, size: number): number =>
    k > last / 2 ? size - 1 - at(last - k, size) : Math.floor(((k + 0.5) * size) / (last + 1))
  for (let j = 0; j < SIDE * SAMPLES; j++) {
    const row = at(j, height) * width
    const cell = Math.floor(j / SAMPLES) * SIDE
    for (let i = 0; i < SIDE * SAMPLES; i++) {
      const p = row + at(i, width)
      const share = alpha === undefined ? 1 : (alpha[p] as number) / top
      const v = light[p] as number
      const c = cell + Math.floor(i / SAMPLES)
      if (Number.isFinite(v)) out[c] = (out[c] as number) + (share * v) / (SAMPLES * SAMPLES)
    }
  }
  return out
}

export function mirrored(t: Float32Array): Float32Array {
  return t.map((_, k) => t[k - (k % SIDE) + SIDE - 1 - (k % SIDE)] as number)
}
