import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told } from '../../../core/index.js'
import type { Lit } from '../../../kernels/index.js'
import { applyCast, surfaceMask } from './apply.js'
import { measureSurface } from './measure.js'
import { castRise, type Emission, type Surface } from './model.js'

const SIZE = 400
const wall: Surface = {
  polygon: [
    [0, 0],
    [SIZE, 0],
    [SIZE, SIZE],
    [0, SIZE],
  ],
  awayM: 0.5,
  nearest: [SIZE / 2, SIZE / 2],
  turnedDeg: 0,
  reflectance: 0.2,
  featherPx: 0,
  mean: [0.3, 0.2, 0.1],
}
const lamp: Emission = { total: [900, 300, 60], x: SIZE / 2, y: SIZE / 2, spreadY: 0 }
const METRES = 0.1

/** The picture with books of its grain, all 0. */
const lit = (light: FloatImage): Lit => ({
  light,
  variance: new Float32Array(light.data.length),
  touched: new Uint8Array(light.data.length / 4),
})

/** Solid angle of a rectangle 2u × 2v seen from `a` before its middle: textbook solid geometry. */
const solidAngle = (u: number, v: number, a: number) =>
  4 * Math.atan((u * v) / (a * Math.sqrt(a * a + u * u + v * v)))

/** Σ ΔL over the wall · m² / cos τ, in the wall's own area, channel by channel. */
function thrown(surface: Surface, e: Emission, factor = 1): Rgb {
  const image = emptyImage({ x: 0, y: 0, width: SIZE, height: SIZE })
  for (let i = 0; i < image.data.length; i++)
    image.data[i] = i % 4 === 3 ? 1 : (surface.mean[i % 4] as number)
  const before = image.data.slice()
  applyCast(lit(image), surfaceMask(surface), e, METRES, factor)
  const sum: [number, number, number] = [0, 0, 0]
  for (let i = 0; i < before.length; i += 4)
    for (const c of [0, 1, 2] as const) sum[c] += (image.data[i + c] as number) - (before[i + c] as number)
  const area = METRES ** 2 / Math.cos((surface.turnedDeg * Math.PI) / 180)
  return [sum[0] * area, sum[1] * area, sum[2] * area]
}

describe('cast light', () => {
  // Inverse square, E = I cos θ / d²: double distance is −2 stops, × 10 is −6.644 stops.
  it('falls by two stops at the nearest point when the distance doubles', () => {
    const at = (awayM: number) =>
      castRise({ ...wall, awayM }, lamp, METRES, 1).falloff(SIZE / 2 - 0.5, SIZE / 2 - 0.5)
    expect(Math.log2(at(4) / at(2))).toBeCloseTo(-2, 9)
    expect(Math.log2(at(20) / at(2))).toBeCloseTo(-6.644, 3)
  })

  // ∫ I a / r³ dA over a rectangle is I times its solid angle; over an endless plane 2π I. A diffuse wall gives ρ/π of it back.
  it('throws on a wall what its solid angle catches', () => {
    const sum = thrown(wall, lamp)
    const half = (SIZE / 2) * METRES
    for (const c of [0, 1, 2] as const) {
      const intensity = lamp.total[c] * METRES ** 2
      const caught = (wall.reflectance / Math.PI) * intensity * solidAngle(half, half, wall.awayM)
      expect(Math.abs((sum[c] as number) / caught - 1)).toBeLessThan(0.01)
    }
  })

  it('throws on an endless wall 2 ρ I, within 1 % on a wall of 200 × its distance', () => {
    const [r] = thrown({ ...wall, awayM: 0.2 }, lamp)
    const all = 2 * wall.reflectance * lamp.total[0] * METRES ** 2
    expect(r / all).toBeGreaterThan(0.99)
    expect(r / all).toBeLessThan(1)
  })

  it('counts a turned wall by its own area', () => {
    const turned = { ...wall, turnedDeg: 60 }
    const [r] = thrown(turned, lamp)
    const half = (SIZE / 2) * METRES
    const caught =
      (wall.reflectance / Math.PI) * lamp.total[0] * METRES ** 2 * solidAngle(2 * half, half, wall.awayM)
    expect(Math.abs(r / caught - 1)).toBeLessThan(0.01)
  })

  it('spreads a tall emitter upright and keeps its light', () => {
    const tall = { ...lamp, spreadY: 10 }
    expect(Math.abs(thrown(wall, tall)[0] / thrown(wall, lamp)[0] - 1)).toBeLessThan(0.01)
    const point = castRise(wall, lamp, METRES, 1)
    const line = castRise(wall, tall, METRES, 1)
    expect(line.falloff(SIZE / 2, SIZE / 2)).toBeLessThan(point.falloff(SIZE / 2, SIZE / 2))
    expect(line.falloff(SIZE / 2, SIZE / 2 + 12)).toBeGreaterThan(point.falloff(SIZE / 2, SIZE / 2 + 12))
  })

  it('keeps a stain a stain, and raises the grain with the light', () => {
    const image = emptyImage({ x: 0, y: 0, width: SIZE, height: SIZE })
    image.data.fill(0.3)
    const stain = 4 * (200 * SIZE + 190)
    image.data[stain] = 0.15
    const plate = lit(image)
    const { variance } = plate
    variance.fill(1e-4)
    applyCast(plate, surfaceMask(wall), lamp, METRES, 1)
    const k = (image.data[stain] as number) / 0.15
    expect(k).toBeGreaterThan(1.5)
    expect((image.data[4 * (200 * SIZE + 209)] as number) / 0.3).toBeCloseTo(k, 5)
    expect((variance[4 * (200 * SIZE + 190)] as number) / 1e-4 / (k * k)).toBeCloseTo(1, 5)
  })

  it('leaves what lies outside the polygon alone', () => {
    const small: Surface = {
      ...wall,
      polygon: [
        [100, 100],
        [140, 100],
        [140, 140],
        [100, 140],
      ],
    }
    const image = emptyImage({ x: 90, y: 90, width: 60, height: 60 })
    image.data.fill(0.3)
    const plate = lit(image)
    applyCast(plate, surfaceMask({ ...small, nearest: undefined }), lamp, METRES, 1)
    expect(image.data[4 * (3 * 60 + 30)]).toBe(Math.fround(0.3))
    expect(image.data[4 * (49 * 60 + 49)]).toBeGreaterThan(0.31)
    expect(plate.touched[3 * 60 + 30]).toBe(0)
    expect(plate.touched[49 * 60 + 49]).toBe(1)
    expect(plate.touched.reduce((a, b) => a + b)).toBeLessThan(45 * 45)
  })
})

describe('mean of a surface', () => {
  it('is the mean of its pixels and nothing beside it', () => {
    const image = emptyImage({ x: 0, y: 0, width: 60, height: 60 })
    for (let p = 0; p < 3600; p++) image.data[4 * p] = p % 60 < 30 ? 0.2 : 5
    const left = {
      ...wall,
      polygon: [
        [0, 0],
        [29, 0],
        [29, 60],
        [0, 60],
      ] as const,
    }
    const m = measureSurface(image, left, 0)
    if (!told(m)) throw new Error(m.cannotTell)
    expect(m.value[0]).toBeCloseTo(0.2, 6)
    expect(
      told(
        measureSurface(
          image,
          {
            ...left,
            polygon: [
              [90, 0],
              [99, 0],
              [99, 9],
            ],
          },
          0,
        ),
      ),
    ).toBe(false)
  })
})
