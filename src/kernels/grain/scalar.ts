/** The field of grain in plain TypeScript: what `simd.ts` must equal to the bit. */
import { channelHash, columnHash, pixelHash, type Region } from '../../core/index.js'
import { BEFORE, COARSE_SEED, type Coarse, lineBefore, splineAt } from './coarse.js'
import { type GrainTaps, type Mixing, outwards } from './factor.js'
import { normalOf } from './normal.js'

const { fround } = Math

/** See `apply.ts`. */
export function grainField(
  seed: number,
  frame: number,
  region: Region,
  taps: readonly [GrainTaps, GrainTaps, GrainTaps],
  mixing: Mixing,
): Float32Array {
  return mixed(
    taps.map((t, c) => axis(seed, frame, region, t, c)),
    mixing,
  )
}

/** The same of a coarse part. */
export function coarseField(
  seed: number,
  frame: number,
  region: Region,
  { size, mixing }: Coarse,
): Float32Array {
  return mixed(
    [0, 1, 2].map((c) => coarseAxis(seed ^ COARSE_SEED, frame, region, size, c)),
    mixing,
  )
}

function mixed([n0, n1, n2]: readonly Float32Array[], mixing: Mixing): Float32Array {
  const m = Float32Array.from(mixing)
  const out = new Float32Array(4 * n0.length)
  for (let i = 0; i < n0.length; i++) {
    for (let c = 0; c < 3; c++) {
      const two = fround(fround(m[3 * c] * n0[i]) + fround(m[3 * c + 1] * n1[i]))
      out[4 * i + c] = two + fround(m[3 * c + 2] * n2[i])
    }
  }
  return out
}

function axis(seed: number, frame: number, region: Region, taps: GrainTaps, c: number): Float32Array {
  const { width, height } = region
  const across = outwards(taps.x)
  const down = outwards(taps.y)
  const padX = across.length - 1
  const padY = down.length - 1
  const wide = width + 2 * padX
  const columns = Int32Array.from({ length: wide }, (_, i) => columnHash(seed, frame, region.x - padX + i))
  const white = new Float32Array(wide)
  const rows = new Float32Array(width * (height + 2 * padY))
  for (let y = 0; y < height + 2 * padY; y++) {
    for (let i = 0; i < wide; i++) {
      white[i] = normalOf(channelHash(pixelHash(columns[i], region.y - padY + y), c))
    }
    for (let x = 0; x < width; x++) rows[y * width + x] = symmetric(white, x + padX, 1, across)
  }
  const out = new Float32Array(width * height)
  for (let i = 0; i < out.length; i++) out[i] = symmetric(rows, i + padY * width, width, down)
  return out
}

/** Σ of taps over samples on both sides of `at`, `stride` apart. */
function symmetric(data: Float32Array, at: number, stride: number, taps: Float32Array): number {
  let sum = fround(taps[0] * data[at])
  for (let k = 1; k < taps.length; k++) {
    const pair = fround(data[at - k * stride] + data[at + k * stride])
    sum = fround(sum + fround(taps[k] * pair))
  }
  return sum
}

function coarseAxis(seed: number, frame: number, region: Region, size: number, c: number): Float32Array {
  const { width, height } = region
  const out = new Float32Array(width * height)
  const white = (i: number, j: number) => normalOf(channelHash(pixelHash(columnHash(seed, frame, i), j), c))
  for (let y = 0; y < height; y++) {
    const j = lineBefore(region.y + y, size) - BEFORE
    const down = splineAt(region.y + y, size)
    for (let x = 0; x < width; x++) {
      const i = lineBefore(region.x + x, size) - BEFORE
      const across = splineAt(region.x + x, size)
      const row = (k: number) =>
        weighed(
          [0, 1, 2, 3].map((l) => white(i + l, j + k)),
          across,
        )
      out[y * width + x] = weighed([row(0), row(1), row(2), row(3)], down)
    }
  }
  return out
}

/** Σ of four values by their weights, pair by pair. */
function weighed([a, b, d, e]: readonly number[], w: Float32Array): number {
  const first = fround(fround(w[0] * a) + fround(w[1] * b))
  return fround(first + fround(fround(w[2] * d) + fround(w[3] * e)))
}
