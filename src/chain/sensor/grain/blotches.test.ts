import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, told } from '../../../core/index.js'
import { withoutMean } from './detrended.js'
import { measureGrain } from './measure.js'

const [WIDTH, HEIGHT] = [320, 240]
const SIGMA = 0.01

/** Multiply with carry, 32 bits (Marsaglia 1994), and Box–Muller: owes nothing to the project's own numbers. */
function normals(seed: number): () => number {
  let [a, b] = [(362436069 ^ Math.imul(seed + 1, 7919)) >>> 0, (521288629 + Math.imul(seed, 104729)) >>> 0]
  const next = () => {
    a = Math.imul(36969, a & 65535) + (a >>> 16)
    b = Math.imul(18000, b & 65535) + (b >>> 16)
    return (((a << 16) + b) >>> 0) / 4294967296
  }
  return () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next())
}

/** White noise through a gaussian of deviation size/√3, of unit variance: ρ(m) = exp(−¾ m²/size²). */
function wide(size: number, normal: () => number): Float64Array {
  const s = size / Math.sqrt(3)
  const reach = Math.ceil(4 * s)
  const taps = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * s * s)))
  const energy = taps.reduce((sum, t) => sum + t * t, 0)
  const [w, h] = [WIDTH + 2 * reach, HEIGHT + 2 * reach]
  const white = Float64Array.from({ length: w * h }, normal)
  const rows = Float64Array.from({ length: WIDTH * h }, (_, i) => {
    const at = Math.floor(i / WIDTH) * w + (i % WIDTH)
    return taps.reduce((sum, t, k) => sum + t * (white[at + k] as number), 0)
  })
  return Float64Array.from({ length: WIDTH * HEIGHT }, (_, i) =>
    taps.reduce((sum, t, k) => sum + (t / energy) * (rows[i + k * WIDTH] as number), 0),
  )
}

/** A ramp that nothing moves on, even noise on it, `share` of its variance in blotches. */
function ramp(seed: number, size: number, share: number): FloatImage {
  const normal = normals(seed)
  const coarse = share > 0 ? [0, 1, 2].map(() => wide(size, normal)) : []
  const image = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
  for (let p = 0; p < WIDTH * HEIGHT; p++) {
    for (let c = 0; c < 3; c++) {
      const own = Math.sqrt(1 - share) * normal() + Math.sqrt(share) * (coarse[c]?.[p] ?? 0)
      image.data[4 * p + c] = 0.2 + (0.4 * (p % WIDTH)) / WIDTH + SIGMA * own
    }
    image.data[4 * p + 3] = 1
  }
  return image
}

const pairs = (size: number, share: number) =>
  [0, 2].map((frame) => ({ frame, image: ramp(frame, size, share), after: ramp(frame + 1, size, share) }))

it('blotches on a ramp come back with their size and strength, and do not pass for motion', () => {
  for (const [size, share] of [
    [6, 0.15],
    [12, 0.4],
  ] as const) {
    const found = measureGrain(pairs(size, share), 1)
    if (!told(found)) throw new Error(found.cannotTell)
    const { coarse, variance } = found.value.shown
    if (coarse === undefined) throw new Error('no blotches')
    expect(Math.abs(coarse.size / size - 1)).toBeLessThan(0.2)
    for (const c of [0, 1, 2] as const) {
      const amplitude = Math.sqrt((variance[c][2] as number) * (coarse.share[c][2] as number))
      expect(Math.abs(amplitude / Math.sqrt(share) / SIGMA - 1)).toBeLessThan(0.15)
      expect(Math.abs((variance[c][2] as number) / SIGMA ** 2 - 1)).toBeLessThan(0.1)
    }
    expect(found.evidence.kind === 'measured' && found.evidence.method).toContain('hold still')
  }
})

it('a ramp without any shows none', () => {
  const found = measureGrain(pairs(1, 0), 1)
  expect(told(found) && found.value.shown.coarse).toBeUndefined()
})

describe('blocks less their means', () => {
  it.each([0, 1, 2])('have of blotches what every pair of their pixels says, at lag %i', (lag) => {
    const [side, size] = [6, 5]
    const places = Array.from({ length: side * side }, (_, i) => [i % side, Math.floor(i / side)] as const)
    type Place = (typeof places)[number]
    const rho = ([x, y]: Place, [u, v]: Place) =>
      Math.exp((-0.75 * ((x - u) ** 2 + (y - v) ** 2)) / size ** 2)
    const mean = (of: readonly number[]) => of.reduce((a, b) => a + b, 0) / of.length
    const withMean = (p: Place) => mean(places.map((q) => rho(p, q)))
    const ofMean = mean(places.map(withMean))
    const products = places
      .filter(([x]) => x + lag < side)
      .map((p) => {
        const q = [p[0] + lag, p[1]] as const
        return rho(p, q) - withMean(p) - withMean(q) + ofMean
      })
    expect(withoutMean(lag, size, side)).toBeCloseTo(mean(products), 12)
  })
})
