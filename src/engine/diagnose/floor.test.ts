import { describe, expect, it } from 'vitest'
import {
  type ColourEncoding,
  emptyImage,
  type FloatImage,
  type PixelLayout,
  uniform,
} from '../../core/index.js'
import { floorFinding } from './floor.js'
import { isOnBlack } from './onBlack.js'

const W = 160
const H = 120
const layout: PixelLayout = { family: 'yuv', bits: 10, float: false, subX: 0, subY: 0, alpha: false }
const encoding: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
}

/** Sum of twelve uniform numbers less 6: mean 0, σ 1 (central limit theorem). */
const normal = (p: number, c: number) => {
  let sum = -6
  for (let k = 0; k < 12; k++) sum += uniform(11, k, p, c, 0)
  return sum
}

/** A soft light in the middle, over a floor with noise. */
function onBlack(floor: readonly number[], sigma: number, light = 0.6, clip = -1): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let p = 0; p < W * H; p++) {
    const d = Math.hypot((p % W) - 80, Math.floor(p / W) - 60)
    const body = light * Math.exp(-((d / 22) ** 2))
    for (let c = 0; c < 3; c++)
      image.data[4 * p + c] = Math.max((floor[c] as number) + body + sigma * normal(p, c), clip)
    image.data[4 * p + 3] = 1
  }
  return image
}

const found = (image: FloatImage) => floorFinding([image], [0], { encoding, layout })

describe('black floor', () => {
  it('is told a channel, in light and in codes', () => {
    const { verdict, numbers } = found(onBlack([0.012, 0.008, 0.004], 0.001))
    expect(verdict).toBe('fault')
    const [floor, noise, codes, sigma] = ['floor', 'noise', 'codes', 'noiseCodes'].map(
      (k) => numbers[k] as readonly number[],
    )
    for (const [c, v] of [0.012, 0.008, 0.004].entries()) {
      expect(floor?.[c]).toBeCloseTo(v, 3)
      expect(noise?.[c]).toBeCloseTo(0.001, 3)
      // BT.709 is 4.5 L below 0.018; 10-bit video: black 64, white 940.
      expect(codes?.[c]).toBeCloseTo(64 + 876 * 4.5 * v, -1)
      expect(sigma?.[c]).toBeCloseTo(876 * 4.5 * 0.001, 0)
    }
  })

  it('of a render is black, without noise', () => {
    const { verdict, sentence } = found(onBlack([0, 0, 0], 0))
    expect(verdict).toBe('fine')
    expect(sentence).toContain('codes 64.0, 64.0, 64.0 of 10 bits where black is 64, without noise')
  })

  it('with noise about black is black still', () => {
    expect(found(onBlack([0, 0, 0], 0.001)).verdict).toBe('fine')
  })

  it('is cut off where noise stops at it', () => {
    // Six σ below: what was black is one code now, what stands above keeps its noise.
    const { verdict, sentence } = found(onBlack([-0.018, -0.018, -0.018], 0.003, 0.6, 0))
    expect(verdict).toBe('fault')
    expect(sentence).toContain('cut off')
  })

  it('lies below black', () => {
    expect(found(onBlack([-0.01, -0.01, -0.01], 0.001)).sentence).toContain('below black')
  })
})

/** An opaque picture. */
function painted(paint: (x: number, y: number) => number): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let p = 0; p < W * H; p++) image.data.fill(paint(p % W, Math.floor(p / W)), 4 * p, 4 * p + 3)
  return image
}

describe('an element on black', () => {
  it('is one with black all around', () => {
    expect(isOnBlack([onBlack([0, 0, 0], 0.001)])).toBe(true)
    expect(isOnBlack([onBlack([0.01, 0.01, 0.01], 0.001)])).toBe(true)
  })

  it('is no night with a ground under it', () => {
    const body = onBlack([0, 0, 0], 0.0003)
    for (let p = W * 90; p < W * H; p++) body.data.fill(0.018, 4 * p, 4 * p + 3)
    expect(isOnBlack([body])).toBe(false)
  })

  it('is no grid with a line around it, and no matte of a few levels', () => {
    expect(
      isOnBlack([painted((x, y) => (x % 20 < 3 || y % 20 < 3 || x > W - 4 || y > H - 4 ? 0 : 0.7))]),
    ).toBe(false)
    expect(
      isOnBlack([
        painted((x, y) => (Math.hypot(x - 80, y - 60) < 30 ? 1 : Math.hypot(x - 80, y - 60) < 40 ? 0.5 : 0)),
      ]),
    ).toBe(false)
  })
})
