/**
 * A field of grain: unit variance, zero mean, correlated in space and between the channels.
 *
 *   white(x, y, c)  normal number from the counter hash of (seed, frame, x, y, c)
 *   n_c = fir_y,c ∗ fir_x,c ∗ white_c / √(energy of both)
 *   (R, G, B)ᵀ = L · (n_0, n_1, n_2)ᵀ,  L Lᵀ = [1 rg rb; rg 1 gb; rb gb 1]
 *
 * A pixel depends on its place in the frame alone, never on the region. Where the channels have unlike taps, G and
 * B take on a share of the spatial correlation of the channels that they are mixed with. Correlations that no three
 * channels can have together are held to the nearest that Cholesky's method allows.
 *
 * Source: common practice (filtered white noise); Cholesky factor [golub2013 §4.2].
 */
import { channelHash, columnHash, pixelHash, type Region, type Rgb } from '../../core/index.js'
import { normalOf } from './normal.js'

/** Symmetric taps (odd count) along x and along y of one channel; they need no scale. */
export interface GrainTaps {
  readonly x: readonly number[]
  readonly y: readonly number[]
}

/** Four values a pixel of the region: R, G, B and 0. `mix`: correlation of RG, RB, GB. */
export function grainField(
  seed: number,
  frame: number,
  region: Region,
  taps: readonly [GrainTaps, GrainTaps, GrainTaps],
  mix: Rgb,
): Float32Array {
  const { width, height } = region
  const out = new Float32Array(4 * width * height)
  const padX = Math.max(...taps.map((t) => t.x.length >> 1))
  const padY = Math.max(...taps.map((t) => t.y.length >> 1))
  const firX = taps.map((t) => unit(t.x))
  const firY = taps.map((t) => unit(t.y))
  const wide = width + 2 * padX
  const columns = Int32Array.from({ length: wide }, (_, i) => columnHash(seed, frame, region.x - padX + i))
  const white = [0, 1, 2].map(() => new Float64Array(wide))
  const rings = [0, 1, 2].map(() => Array.from({ length: 2 * padY + 1 }, () => new Float64Array(width)))
  const lines = [0, 1, 2].map(() => new Float64Array(width))
  for (let y = -padY; y < height + padY; y++) {
    whiteRow(columns, region.y + y, white[0], white[1], white[2])
    for (let c = 0; c < 3; c++) {
      fir(white[c], firX[c], padX - (firX[c].length >> 1), rings[c][(y + padY) % (2 * padY + 1)])
    }
    const at = y - padY
    if (at < 0) continue
    for (let c = 0; c < 3; c++) down(rings[c], firY[c], at + padY, lines[c])
    mixRow(lines[0], lines[1], lines[2], mix, out, 4 * at * width)
  }
  return out
}

function unit(taps: readonly number[]): Float64Array {
  const energy = taps.reduce((sum, t) => sum + t * t, 0)
  return Float64Array.from(taps, (t) => t / Math.sqrt(energy))
}

function whiteRow(columns: Int32Array, y: number, r: Float64Array, g: Float64Array, b: Float64Array): void {
  for (let i = 0; i < columns.length; i++) {
    const pixel = pixelHash(columns[i], y)
    r[i] = normalOf(channelHash(pixel, 0))
    g[i] = normalOf(channelHash(pixel, 1))
    b[i] = normalOf(channelHash(pixel, 2))
  }
}

function fir(row: Float64Array, taps: Float64Array, shift: number, out: Float64Array): void {
  const middle = taps.length >> 1
  const w = taps[middle]
  for (let i = 0; i < out.length; i++) out[i] = w * row[shift + middle + i]
  for (let k = 1; k <= middle; k++)
    addPair(row, shift + middle - k, row, shift + middle + k, taps[middle + k], out)
}

/** Column filter around ring row `middle`. */
function down(ring: readonly Float64Array[], taps: Float64Array, middle: number, out: Float64Array): void {
  const half = taps.length >> 1
  const w = taps[half]
  const row = ring[middle % ring.length]
  for (let i = 0; i < out.length; i++) out[i] = w * row[i]
  for (let k = 1; k <= half; k++) {
    addPair(ring[(middle - k) % ring.length], 0, ring[(middle + k) % ring.length], 0, taps[half + k], out)
  }
}

/** The two taps of equal weight on both sides of the middle. */
function addPair(
  a: Float64Array,
  atA: number,
  b: Float64Array,
  atB: number,
  w: number,
  out: Float64Array,
): void {
  for (let i = 0; i < out.length; i++) out[i] += w * (a[atA + i] + b[atB + i])
}

function mixRow(
  n0: Float64Array,
  n1: Float64Array,
  n2: Float64Array,
  [rg, rb, gb]: Rgb,
  out: Float32Array,
  to: number,
): void {
  const l11 = Math.sqrt(Math.max(1 - rg * rg, 0))
  const room = Math.sqrt(Math.max(1 - rb * rb, 0))
  const l21 = l11 === 0 ? 0 : Math.min(Math.max((gb - rb * rg) / l11, -room), room)
  const l22 = Math.sqrt(Math.max(1 - rb * rb - l21 * l21, 0))
  for (let i = 0, o = to; i < n0.length; i++, o += 4) {
    out[o] = n0[i]
    out[o + 1] = rg * n0[i] + l11 * n1[i]
    out[o + 2] = rb * n0[i] + l21 * n1[i] + l22 * n2[i]
  }
}
