/** The field of grain in plain TypeScript: what `simd.ts` must equal to the bit. */
import { channelHash, columnHash, pixelHash, type Region, type Rgb } from '../../core/index.js'
import { type GrainTaps, mixFactor, outwards } from './factor.js'
import { normalOf } from './normal.js'

const { fround } = Math

/** See `apply.ts`. */
export function grainField(
  seed: number,
  frame: number,
  region: Region,
  taps: readonly [GrainTaps, GrainTaps, GrainTaps],
  mix: Rgb,
): Float32Array {
  const { width, height } = region
  const [n0, n1, n2] = taps.map((t, c) => channel(seed, frame, region, t, c))
  const [, l10, l11, l20, l21, l22] = mixFactor(mix)
  const out = new Float32Array(4 * width * height)
  for (let i = 0, o = 0; i < width * height; i++, o += 4) {
    out[o] = n0[i]
    out[o + 1] = fround(l10 * n0[i]) + fround(l11 * n1[i])
    out[o + 2] = fround(fround(l20 * n0[i]) + fround(l21 * n1[i])) + fround(l22 * n2[i])
  }
  return out
}

function channel(seed: number, frame: number, region: Region, taps: GrainTaps, c: number): Float32Array {
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
