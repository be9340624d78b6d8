/**
 * Chance and texture for the test worlds: a counter-based hash, Gaussian numbers, gradient noise and sums of its octaves.
 * Shares nothing with `src/core/random.ts`: the worlds are an oracle.
 *
 * Gradient noise after [perlin2002]; the normal transform after [box1958].
 */

/** Hash of up to four integers, uniform on 32 bits. Seed and first index are spread before they meet: next seeds would swap next indices. */
export function bits(seed: number, a: number, b = 0, c = 0): number {
  let h = spread(seed ^ 0x51ed270b)
  h = Math.imul(h ^ spread(a), 0x9e3779b1)
  h ^= h >>> 15
  h = Math.imul(h ^ b, 0x85ebca77)
  h ^= h >>> 13
  h = Math.imul(h ^ c, 0xc2b2ae3d)
  h ^= h >>> 16
  h = Math.imul(h, 0x27d4eb2f)
  h ^= h >>> 15
  return h >>> 0
}

/** One to one; every bit stirs all the others (common practice). */
function spread(v: number): number {
  let h = Math.imul(v ^ (v >>> 16), 0x85ebca6b)
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return h ^ (h >>> 16)
}

/** Uniform in [0, 1). */
export function chance(seed: number, a: number, b = 0, c = 0): number {
  return bits(seed, a, b, c) / 4294967296
}

/** Uniform between two bounds. */
export function between(lo: number, hi: number, seed: number, a: number, b = 0, c = 0): number {
  return lo + (hi - lo) * chance(seed, a, b, c)
}

/** Normal with mean 0 and variance 1. */
export function normal(seed: number, a: number, b = 0, c = 0): number {
  const u = (bits(seed, a, b, c) + 1) / 4294967297
  const v = bits(seed ^ 0x2c1b3c6d, a, b, c) / 4294967296
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v)
}

const table = new Uint8Array(512)
for (let i = 0; i < 256; i++) table[i] = i
for (let i = 255; i > 0; i--) {
  const j = bits(977, i) % (i + 1)
  const t = table[i]
  table[i] = table[j]
  table[j] = t
}
for (let i = 0; i < 256; i++) table[256 + i] = table[i]

function slope(h: number, x: number, y: number, z: number): number {
  const k = h & 15
  const u = k < 8 ? x : y
  const v = k < 4 ? y : k === 12 || k === 14 ? x : z
  return ((k & 1) === 0 ? u : -u) + ((k & 2) === 0 ? v : -v)
}

/** Gradient noise in three dimensions, about −1 to 1, mean 0. */
export function noise(x: number, y: number, z: number): number {
  const fx = Math.floor(x)
  const fy = Math.floor(y)
  const fz = Math.floor(z)
  const X = fx & 255
  const Y = fy & 255
  const Z = fz & 255
  const a = x - fx
  const b = y - fy
  const c = z - fz
  const u = a * a * a * (a * (a * 6 - 15) + 10)
  const v = b * b * b * (b * (b * 6 - 15) + 10)
  const w = c * c * c * (c * (c * 6 - 15) + 10)
  const A = table[X] + Y
  const AA = table[A] + Z
  const AB = table[A + 1] + Z
  const B = table[X + 1] + Y
  const BA = table[B] + Z
  const BB = table[B + 1] + Z
  const x00 = slope(table[AA], a, b, c)
  const x10 = slope(table[BA], a - 1, b, c)
  const x01 = slope(table[AB], a, b - 1, c)
  const x11 = slope(table[BB], a - 1, b - 1, c)
  const y00 = slope(table[AA + 1], a, b, c - 1)
  const y10 = slope(table[BA + 1], a - 1, b, c - 1)
  const y01 = slope(table[AB + 1], a, b - 1, c - 1)
  const y11 = slope(table[BB + 1], a - 1, b - 1, c - 1)
  const p = x00 + u * (x10 - x00)
  const q = x01 + u * (x11 - x01)
  const r = y00 + u * (y10 - y00)
  const s = y01 + u * (y11 - y01)
  const m = p + v * (q - p)
  const n = r + v * (s - r)
  return m + w * (n - m)
}

/** Sum of octaves, each twice as fine and half as strong; about −1 to 1. */
export function fbm(x: number, y: number, z: number, octaves: number, gain = 0.5): number {
  let sum = 0
  let amp = 0.5
  let f = 1
  for (let i = 0; i < octaves; i++) {
    sum += amp * noise(x * f + 17.3 * i, y * f - 9.1 * i, z * f + 3.7 * i)
    amp *= gain
    f *= 2.03
  }
  return sum * 1.6
}

/** Smooth step from 0 at `lo` to 1 at `hi`. */
export function step(lo: number, hi: number, x: number): number {
  const t = Math.min(1, Math.max(0, (x - lo) / (hi - lo)))
  return t * t * (3 - 2 * t)
}

export function mix(a: number, b: number, t: number): number {
  return a + (b - a) * t
}
