import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, told, uniform } from '../../../core/index.js'
import { airlightOfFrame, nearestBlack, transmittanceOfPlace } from './measure.js'

const WIDTH = 480
const HEIGHT = 270
const HORIZON = 120
const A: Rgb = [0.42, 0.4, 0.38]
/** Sky at the top of the frame: bluer and darker than over the horizon. */
const ZENITH: Rgb = [0.12, 0.2, 0.36]
const BETA = Math.log(50) / 2000

/**
 * A plain before a hazy sky, made by I = J t + A (1 − t) [koschmieder1924]: ground of dark and light patches whose distance
 * grows towards the horizon as under a camera 5 m high, f = 400 px.
 */
function picture(sun: boolean): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const up = (HORIZON - y) / HORIZON
      const t = Math.exp(-BETA * distance(y))
      const j = uniform(3, 0, x >> 2, y >> 2, 0) < 0.3 ? 0.01 : 0.01 + 0.3 * uniform(4, 0, x >> 2, y >> 2, 1)
      const disc = sun && Math.hypot(x - 240, y - 60) < 22
      for (const c of [0, 1, 2] as const) {
        const sky = disc ? [0.97, 0.93, 0.8][c] : A[c] + (ZENITH[c] - A[c]) * up
        image.data[4 * (y * WIDTH + x) + c] = y < HORIZON ? (sky as number) : j * t + A[c] * (1 - t)
      }
      image.data[4 * (y * WIDTH + x) + 3] = 1
    }
  }
  return image
}

const distance = (y: number) => (5 * 400) / (y - HORIZON + 0.5)

function airlight(image: FloatImage, x: number, clip = 1): Rgb {
  const found = airlightOfFrame(image, 0, x, clip)
  if (!told(found)) throw new Error(found.cannotTell)
  return found.value
}

describe('airlight of a frame', () => {
  it.each([
    ['a clear sky', false, 240],
    ['a sun disc above the element', true, 240],
    ['a sun disc, seen from the side', true, 60],
  ])('is that over the horizon, within 6 parts in 100, under %s', (_, sun, x) => {
    const found = airlight(picture(sun), x)
    for (const c of [0, 1, 2] as const) expect(Math.abs(found[c] / A[c] - 1)).toBeLessThan(0.06)
  })

  it('is the same where the sun ends at the clip', () => {
    const found = airlight(picture(true), 240, 0.95)
    for (const c of [0, 1, 2] as const) expect(Math.abs(found[c] / A[c] - 1)).toBeLessThan(0.06)
  })

  // What the horizon's patches are taken for must be the sky's end, not bright water below it.
  it('takes the sky at the horizon, not the water that mirrors it, nor grain for texture', () => {
    const image = picture(false)
    const paint = (x: number, y: number, f: (c: 0 | 1 | 2) => number) => {
      for (const c of [0, 1, 2] as const) image.data[4 * (y * WIDTH + x) + c] = f(c)
    }
    for (let y = HORIZON; y < 200; y++)
      for (let x = 0; x < WIDTH; x++)
        paint(x, y, (c) => A[c] * (0.6 + 0.3 * uniform(5, 0, x >> 1, y >> 1, 0)))
    for (let y = 0; y < HORIZON; y++)
      for (let x = 0; x < WIDTH; x++)
        paint(
          x,
          y,
          (c) => (image.data[4 * (y * WIDTH + x) + c] as number) * (0.97 + 0.06 * uniform(6, c, x, y, 0)),
        )
    const found = airlight(image, 240)
    for (const c of [0, 1, 2] as const) expect(Math.abs(found[c] / A[c] - 1)).toBeLessThan(0.06)
  })

  it('lies between the sky above a shed and the horizon beside it, and says how far they are apart', () => {
    const image = picture(false)
    for (let y = 60; y < 200; y++)
      for (let x = 120; x < 360; x++)
        for (const c of [0, 1, 2] as const) image.data[4 * (y * WIDTH + x) + c] = 0.04
    const found = airlightOfFrame(image, 0, 240, 1)
    if (!told(found) || found.evidence.kind !== 'measured') throw new Error('not measured')
    // Red falls from .42 at the horizon to .27 above the shed.
    expect(found.value[0]).toBeGreaterThan(0.29)
    expect(found.value[0]).toBeLessThan(0.41)
    expect(found.evidence.spread).toBeGreaterThan(0.05)
    expect(found.evidence.spread).toBeLessThan(0.1)
  })

  it('is only assumed where no sky comes down from the upper border to an end: a road, a wall behind a dark beam', () => {
    const kind = (image: FloatImage) => {
      const found = airlightOfFrame(image, 0, 240, 1)
      return told(found) ? found.evidence.kind : found.cannotTell
    }
    const road = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
    for (let i = 0; i < road.data.length; i++) road.data[i] = 0.2 + 0.01 * uniform(8, 0, i, 0, 0)
    expect(kind(road)).toBe('assumed')
    const beam = picture(false)
    for (let y = 0; y < 30; y++) beam.data.fill(0.01, 4 * y * WIDTH, 4 * (y + 1) * WIDTH)
    expect(kind(picture(false))).toBe('measured')
    expect(kind(beam)).toBe('assumed')
  })

  it('cannot be told from a picture that is clipped', () => {
    const image = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
    image.data.fill(1)
    expect(told(airlightOfFrame(image, 0, 240, 1))).toBe(false)
  })
})

describe('transmittance of a place', () => {
  // I = J t + A (1 − t): J .02, t .6.
  it('is what its black was made with', () => {
    const near: Rgb = [0.02, 0.02, 0.02]
    const black = A.map((a) => 0.02 * 0.6 + a * 0.4) as unknown as Rgb
    const t = transmittanceOfPlace(black, near, A, 0)
    if (!told(t)) throw new Error(t.cannotTell)
    expect(t.value).toBeCloseTo(0.6, 9)
  })

  it('is found on the picture itself, nearest black and all', () => {
    const image = picture(true)
    const near = nearestBlack(image)
    // The nearest row is 13 m away: 1.3 % of the airlight stands before it.
    for (const v of near) expect(v).toBeLessThan(0.03)
    const y = 135
    let least = 1
    for (let x = 0; x < WIDTH; x++) least = Math.min(least, image.data[4 * (y * WIDTH + x) + 1] as number)
    const t = transmittanceOfPlace([least, least, least], near, [A[1], A[1], A[1]], 0)
    if (!told(t)) throw new Error(t.cannotTell)
    expect(Math.abs(t.value / Math.exp(-BETA * distance(y)) - 1)).toBeLessThan(0.06)
  })

  it('cannot be told where the air is no brighter than the black, and never exceeds 1', () => {
    expect(told(transmittanceOfPlace([0.1, 0.1, 0.1], [0.1, 0.1, 0.1], [0.1, 0.1, 0.1], 0))).toBe(false)
    const t = transmittanceOfPlace([0.01, 0.01, 0.01], [0.02, 0.02, 0.02], A, 0)
    expect(told(t) && t.value).toBe(1)
  })
})
