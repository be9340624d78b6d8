import type { FloatImage } from '../../../core/index.js'

/** Correlation of noise with its neighbours and between channels. */
export interface NoiseCorrelation {
  /** Per channel: one and two pixels to the right, one and two below. */
  readonly lags: [number, number, number, number][]
  /** RG, RB, GB. */
  readonly mix: [number, number, number]
}

const LAGS = [
  [1, 0],
  [2, 0],
  [0, 1],
  [0, 2],
] as const

/** Over blocks of `size` pixels, each less its own fitted plane; blocks weigh the same whatever their variance. */
export function correlation(
  blocks: readonly { image: FloatImage; x: number; y: number }[],
  size: number,
): NoiseCorrelation {
  const lags = [0, 1, 2].map(() => [0, 0, 0, 0] as [number, number, number, number])
  const mix: [number, number, number] = [0, 0, 0]
  let count = 0
  for (const b of blocks) {
    const planes = [0, 1, 2].map((c) => residual(b.image, b.x, b.y, size, c)) as [
      Float64Array,
      Float64Array,
      Float64Array,
    ]
    const power = planes.map((p) => product(p, p, size, 0, 0))
    if (power.some((v) => !(v > 0))) continue
    count++
    for (let c = 0; c < 3; c++) {
      const own = lags[c] as [number, number, number, number]
      LAGS.forEach(([dx, dy], i) => {
        own[i] =
          (own[i] as number) +
          product(planes[c] as Float64Array, planes[c] as Float64Array, size, dx, dy) / (power[c] as number)
      })
    }
    const cross = (a: 0 | 1 | 2, z: 0 | 1 | 2) =>
      product(planes[a], planes[z], size, 0, 0) / Math.sqrt((power[a] as number) * (power[z] as number))
    mix[0] += cross(0, 1)
    mix[1] += cross(0, 2)
    mix[2] += cross(1, 2)
  }
  const n = Math.max(count, 1)
  return {
    lags: lags.map((l) => l.map((v) => v / n) as [number, number, number, number]),
    mix: [mix[0] / n, mix[1] / n, mix[2] / n],
  }
}

/** Mean of a(x, y) · b(x + dx, y + dy) over the pairs inside the block. */
function product(a: Float64Array, b: Float64Array, size: number, dx: number, dy: number): number {
  let sum = 0
  for (let y = 0; y + dy < size; y++) {
    for (let x = 0; x + dx < size; x++)
      sum += (a[y * size + x] as number) * (b[(y + dy) * size + x + dx] as number)
  }
  return sum / ((size - dx) * (size - dy))
}

/** A channel of a block less its least-squares plane. */
function residual(image: FloatImage, x0: number, y0: number, size: number, c: number): Float64Array {
  const { region, data } = image
  const out = new Float64Array(size * size)
  const mid = (size - 1) / 2
  let sum = 0
  let sx = 0
  let sy = 0
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const v = data[4 * ((y0 + y - region.y) * region.width + x0 + x - region.x) + c] as number
      out[y * size + x] = v
      sum += v
      sx += v * (x - mid)
      sy += v * (y - mid)
    }
  }
  const n = size * size
  const norm = (n * (size * size - 1)) / 12
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const i = y * size + x
      out[i] = (out[i] as number) - sum / n - (sx / norm) * (x - mid) - (sy / norm) * (y - mid)
    }
  }
  return out
}
