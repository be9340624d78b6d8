import { expect, it } from 'vitest'
import { emptyImage, type FloatImage, told } from '../../../core/index.js'
import { measureGrain } from './measure.js'

const SIZE = 256
/** DN that stand for diffuse white. */
const WHITE = 4000
/** Mean DN of three even fields, and the variance that a sensor of K = 0.25 DN/e⁻ and 3 e⁻ has there, rounding included (EMVA 1288). */
const FIELDS = [
  [25, 6.8958],
  [250, 63.1458],
  [2500, 625.6458],
] as const

/** A run of uniform numbers that owes nothing to the project's own hash: multiply with carry, 32 bits (Marsaglia 1994). */
function numbers(seed: number): () => number {
  let [a, b] = [(362436069 ^ Math.imul(seed, 7919)) >>> 0, (521288629 + seed) >>> 0]
  return () => {
    a = Math.imul(36969, a & 65535) + (a >>> 16)
    b = Math.imul(18000, b & 65535) + (b >>> 16)
    return (((a << 16) + b) >>> 0) / 4294967296
  }
}

/** Three even fields side by side, in whole DN; `texture` is woven in but for the lowest quarter, and goes by `pan` px a frame. */
function exposed(frame: number, texture: number, pan = 0): FloatImage {
  const next = numbers(frame + 1)
  const image = emptyImage({ x: 0, y: 0, width: 3 * SIZE, height: SIZE })
  for (let p = 0; p < 3 * SIZE * SIZE; p++) {
    const x = p % (3 * SIZE)
    const y = Math.floor(p / (3 * SIZE))
    const [mean, variance] = FIELDS[Math.floor(x / SIZE)] as (typeof FIELDS)[number]
    for (let c = 0; c < 3; c++) {
      const u = 1 - next()
      const v = next()
      const own = Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v)
      const there = pan !== 0 && y >= 0.75 * SIZE ? 0 : texture
      const woven = mean * (1 + there * Math.sin(1.3 * (x - pan * frame)) * Math.sin(0.9 * y))
      image.data[4 * p + c] = Math.round(woven + Math.sqrt(variance - 1 / 12) * own) / WHITE
    }
    image.data[4 * p + 3] = 1
  }
  return image
}

it.each([0, 0.1])(
  'finds the photon transfer values of EMVA 1288 within 2 percent, with a texture of %s',
  (texture) => {
    const samples = [0, 2].map((f) => ({
      frame: f,
      image: exposed(f, texture),
      after: exposed(f + 1, texture),
    }))
    const found = measureGrain(samples, 1)
    if (!told(found)) throw new Error(found.cannotTell)
    for (const line of found.value.lines) {
      // σ² = K·μ + K²σ²d + 1/12: slope K, floor 0.6458.
      expect(Math.abs((line?.slope ?? 0) * WHITE - 0.25)).toBeLessThan(0.005)
    }
    // Woven, each field spreads over many levels: the line is what is checked.
    for (const [mean, variance] of texture > 0 ? [] : FIELDS) {
      const i = found.value.levels.findIndex((l) => Math.abs((l * WHITE) / mean - 1) < 0.05)
      for (const v of found.value.variance) {
        expect(Math.abs(((v[i] as number) * WHITE ** 2) / variance - 1)).toBeLessThan(0.02)
      }
    }
    for (const v of [...found.value.lags, ...found.value.cross, found.value.mix].flat())
      expect(Math.abs(v)).toBeLessThan(0.02)
  },
)

it('says why where a code holds no light between its ends', () => {
  const image = emptyImage({ x: 0, y: 0, width: 64, height: 64 })
  image.data.fill(1)
  expect(measureGrain([{ frame: 0, image, after: image }], 1)).toEqual({
    cannotTell:
      'no two frames show noise where they lie over each other, and of 0 unclipped blocks of 8 px too few are flat at any level',
  })
})

it('of a picture that moves it is right within what it tells, at dark and bright levels alike', () => {
  const samples = [0, 11].map((f) => ({
    frame: f,
    image: exposed(f, 0.3, 3.4),
    after: exposed(f + 1, 0.3, 3.4),
  }))
  const found = measureGrain(samples, 1)
  if (!told(found)) throw new Error(found.cannotTell)
  const { levels, variance, spread } = found.value
  for (const [mean, truth] of FIELDS) {
    const near = levels.map((l) => Math.abs(Math.log((l * WHITE) / mean)))
    const i = near.indexOf(Math.min(...near))
    // A level spans half an octave and more, and noise goes with it. Texture's own is 36 to 3,000 times as much.
    expect(near[i]).toBeLessThan(0.5)
    variance.forEach((v, c) => {
      const [own, off] = [(v[i] as number) * WHITE ** 2, (spread[c]?.[i] as number) * WHITE ** 2]
      expect(Math.abs(own - truth)).toBeLessThan(3 * off + 0.6 * truth)
    })
  }
})

it('leaves no bright half of a picture out because it moves and has no flat place', () => {
  const bright = (frame: number) => {
    const [even, woven] = [exposed(frame, 0), exposed(frame, 0.3, 3.4)]
    // The dark field stands still and is even; the two others move, all over.
    for (let p = 0; p < even.data.length; p++) {
      const [x, y] = [(p >> 2) % (3 * SIZE), Math.floor((p >> 2) / (3 * SIZE))]
      if (x >= SIZE) even.data[p] = woven.data[4 * ((y % (0.75 * SIZE)) * 3 * SIZE + x) + (p & 3)] as number
    }
    return even
  }
  const samples = [0, 11].map((f) => ({ frame: f, image: bright(f), after: bright(f + 1) }))
  const found = measureGrain(samples, 1)
  if (!told(found)) throw new Error(found.cannotTell)
  const { levels, variance } = found.value
  expect((levels.at(-1) as number) * WHITE).toBeGreaterThan(1500)
  expect('confidence' in found.evidence && found.evidence.confidence).toBeLessThanOrEqual(0.5)
  for (const v of variance) expect((v[0] as number) * WHITE ** 2).toBeLessThan(3 * 6.8958)
})
