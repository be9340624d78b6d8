import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told, uniform } from '../../../core/index.js'
import { holdToLimits, limitShares, markShare } from './apply.js'
import { measureClip, measureFloor } from './measure.js'

const frame = { x: 0, y: 0, width: 240, height: 160 }
const noise = (x: number, y: number, c: number) => 0.01 * (uniform(31, 0, x, y, c) - 0.5)

/** A soft lamp over a slope, of this much light at its middle; each channel of noise and then of its end. */
function lamp(peak: number, ends: Rgb): FloatImage {
  const code = emptyImage(frame)
  for (let y = 0; y < 160; y++) {
    for (let x = 0; x < 240; x++) {
      const light = peak * Math.exp(-((x - 120) ** 2 + (y - 80) ** 2) / 800)
      for (const c of [0, 1, 2] as const) {
        const v = 0.1 + 0.15 * (x / 240) + light + noise(x, y, c)
        code.data[4 * (y * 240 + x) + c] = Math.min(v, ends[c])
      }
    }
  }
  return code
}
const clipOf = (code: FloatImage) => measureClip([{ frame: 0, code }])

describe('clipping', () => {
  it('is found at the level of each channel, as they were cut', () => {
    const ends: Rgb = [0.92, 0.88, 0.96]
    const read = clipOf(lamp(1.5, ends))
    if (!told(read)) throw new Error(read.cannotTell)
    for (const c of [0, 1, 2] as const) expect(Math.abs(read.value[c] - ends[c])).toBeLessThan(1 / 510)
  })

  it('of one channel alone leaves the others without an end', () => {
    const read = clipOf(lamp(0.72, [0.8, 2, 2]))
    if (!told(read)) throw new Error(read.cannotTell)
    expect(read.value[0]).toBeCloseTo(0.8, 2)
    expect(read.value.slice(1)).toEqual([Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY])
  })

  it('is not told by highlights that thin out, nor by a bright wall with its grain', () => {
    expect(told(clipOf(lamp(0.6, [2, 2, 2])))).toBe(false)
    const wall = emptyImage(frame)
    for (let i = 0; i < wall.data.length; i++) {
      const p = i >> 2
      const bright = p % 240 > 120
      wall.data[i] = (bright ? 0.9 : 0.2) + (bright ? 6 : 1) * noise(p % 240, Math.floor(p / 240), i % 4)
    }
    expect(told(clipOf(wall))).toBe(false)
  })
})

describe('black floor', () => {
  it('is where the blacks end, and is not told where nothing is black', () => {
    const dark = emptyImage(frame)
    for (let p = 0; p < 240 * 160; p++) {
      const v = 0.05 + Math.max((p % 240) / 240 - 0.3, 0)
      dark.data.set([v, v, v + 0.01], 4 * p)
    }
    const read = measureFloor([{ frame: 0, code: dark }])
    if (!told(read)) throw new Error(read.cannotTell)
    for (const [c, v] of [0.05, 0.05, 0.06].entries()) expect(read.value[c]).toBeCloseTo(v, 3)
    const bright = emptyImage(frame)
    for (let p = 0; p < 240 * 160; p++) bright.data.fill(p === 7 ? 0.1 : 0.5, 4 * p, 4 * p + 3)
    for (let p = 0; p < 40; p++) bright.data.fill(0.02 * p, 4 * 7 * p, 4 * 7 * p + 3)
    expect(told(measureFloor([{ frame: 0, code: bright }]))).toBe(false)
  })

  // The darkest wall of a hazy place: many pixels near the darkest one, and more of them the lighter.
  it('is not told where the darkest shades thin out', () => {
    const hazy = emptyImage(frame)
    for (let p = 0; p < 240 * 160; p++) {
      const v = 0.12 + 0.1 * Math.sqrt((p % 240) / 240) + noise(p % 240, Math.floor(p / 240), 0)
      hazy.data.set([v, v, v], 4 * p)
    }
    expect(told(measureFloor([{ frame: 0, code: hazy }]))).toBe(false)
  })
})

describe('an element at the limits of the sensor', () => {
  const limits = { clip: [0.8, 0.7, 0.9], floor: [0.01, 0.01, 0.01] } as const
  const pixel = (...v: number[]): FloatImage => ({
    region: { x: 0, y: 0, width: 1, height: 1 },
    data: Float32Array.from([...v, 1]),
  })
  const held = (v: number[], own: number[], touched = 1) => {
    const image = pixel(...v)
    holdToLimits(image, pixel(...own), Uint8Array.of(touched), limits)
    return [...image.data.subarray(0, 3)]
  }
  const grey = [0.2, 0.2, 0.2]

  // Fire of 1 : 0.4 : 0.1 fills red first, then green, then blue: red, orange, yellow, the plate's own white.
  it('burns out channel by channel to the colour in which the plate does', () => {
    const full = (light: number) =>
      held([light, 0.4 * light, 0.1 * light], grey).map((v, c) => v >= Math.fround(limits.clip[c] as number))
    expect(full(0.5)).toEqual([false, false, false])
    expect(full(1)).toEqual([true, false, false])
    expect(full(2)).toEqual([true, true, false])
    expect(full(20)).toEqual([true, true, true])
    expect(held([20, 8, 2], grey)).toEqual(limits.clip.map(Math.fround))
  })

  it('goes no darker than its floor, and takes nothing from the plate itself', () => {
    expect(held([0, -1, 0.005], grey)).toEqual([0.01, 0.01, 0.01].map(Math.fround))
    const beyond = [0.95, 0.9, 1.1].map(Math.fround)
    expect(held(beyond, beyond)).toEqual(beyond)
    expect(held([2, 2, 2], beyond)).toEqual(beyond)
    expect(held([5, 5, 5], grey, 0)).toEqual([5, 5, 5])
  })

  it('go as far as the element laid over last asks of its sensor', () => {
    const region = { x: 4, y: 2, width: 3, height: 1 }
    const row = (...lights: number[]): FloatImage => ({
      region,
      data: Float32Array.from(lights.flatMap((v) => [v, v, v, 1])),
    })
    const layer = (x: number): FloatImage => ({
      region: { x, y: 2, width: 1, height: 1 },
      data: Float32Array.of(1.5, 0, 0, 0),
    })
    expect(limitShares([{ sensorShare: 1 }], 3)).toBeUndefined()
    const shares = limitShares([{ sensorShare: 0 }, { sensorShare: 0.5 }], 3)
    if (shares === undefined) throw new Error('no shares')
    markShare(shares, region, layer(4), 0.5)
    markShare(shares, region, layer(4), 0)
    markShare(shares, region, layer(6), 0.5)
    const light = row(2, 2, 2)
    const ends = { clip: [1, 1, 1], floor: [0, 0, 0] } as const
    holdToLimits(light, row(0.2, 0.2, 0.2), Uint8Array.of(1, 1, 1), ends, shares)
    expect([0, 4, 8].map((i) => light.data[i])).toEqual([2, 1, 1.5])
  })
})
