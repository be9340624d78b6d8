/** Sight, ground and upright heights against a camera that casts rays and marches along them, with no formula of the subject. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { told } from '../../../core/index.js'
import { dipRad, flatUntil, horizonM } from './earth.js'
import { elevationDeg, type Pixel, type Sight, sightOf, tiltDeg } from './sight.js'
import { heightOfPixels, pixelsOfHeight, topOf } from './upright.js'
import { byGround, byNeighbour, bySize } from './ways.js'

const W = 1920
const H = 1080
const F = 2000
const exact = (value: number) => ({ value, sd: 0 })

/** A camera in the world: x right, y up, z ahead; tilted up and rolled. */
interface Stand {
  readonly tilt: number
  readonly roll: number
  readonly eye: number
}

/** World way of a pixel. */
function cast({ tilt, roll }: Stand, [px, py]: Pixel): [number, number, number] {
  const [u, v] = [px - W / 2, H / 2 - py]
  const x = u * Math.cos(roll) - v * Math.sin(roll)
  const y = u * Math.sin(roll) + v * Math.cos(roll)
  return [x, y * Math.cos(tilt) + F * Math.sin(tilt), F * Math.cos(tilt) - y * Math.sin(tilt)]
}

/** Length along the ray, in F, at which it first has `inside`: marched, then halved. That is the depth along the lens's axis. */
function march(c: Stand, p: Pixel, inside: (x: number, y: number, z: number) => boolean): number {
  const [x, y, z] = cast(c, p)
  const at = (t: number) => inside((t * x) / F, c.eye + (t * y) / F, (t * z) / F)
  let far = 0.01
  while (!at(far)) {
    far *= 1.01
    if (far > 1e7) return Number.POSITIVE_INFINITY
  }
  let near = far / 1.01
  for (let i = 0; i < 60; i++) {
    const middle = (near + far) / 2
    if (at(middle)) far = middle
    else near = middle
  }
  return far
}

/** Row of a column where sight turns from below `angle` to above, by halving. */
function rowOf(c: Stand, px: number, angle: number): number {
  let [low, high] = [-60_000, 60_000]
  for (let i = 0; i < 80; i++) {
    const middle = (low + high) / 2
    const [x, y, z] = cast(c, [px, middle])
    if (Math.atan2(y, Math.sqrt(x * x + z * z)) > angle) low = middle
    else high = middle
  }
  return low
}

function sightFor(c: Stand, angle = 0, columns = [100, 1800]): Sight {
  const points = columns.map((x): Pixel => [x, rowOf(c, x, angle)]) as [Pixel, Pixel]
  return sightOf(W, H, exact(F), { points, sd: 0 }) as Sight
}

const flat = (_: number, y: number) => y <= 0

describe('level ground', () => {
  const stand = fc.record({
    tilt: fc.double({ min: -0.7, max: 0.3, noNaN: true }),
    roll: fc.double({ min: -0.4, max: 0.4, noNaN: true }),
    eye: fc.double({ min: 0.3, max: 30, noNaN: true }),
  })
  const pixel = fc.tuple(
    fc.double({ min: 0, max: W, noNaN: true }),
    fc.double({ min: 0, max: H, noNaN: true }),
  )

  it('lies where a cast ray meets it, tilted and rolled', () => {
    fc.assert(
      fc.property(stand, pixel, (c, p) => {
        const truth = march(c, p, flat)
        fc.pre(truth < horizonM(c.eye) / 20)
        const found = byGround(sightFor(c), exact(c.eye), p, 0)
        const ratio = told(found) ? found.value.metres / truth : Number.NaN
        // Flat here, and corrected for a roundness of twice its share of the way to the sea's horizon: no more than that is missing.
        const share = truth / horizonM(c.eye)
        expect(ratio).toBeLessThan(1)
        expect(ratio).toBeGreaterThan(1 - 2.5 * share - 1e-6)
      }),
      { numRuns: 60, seed: 1 },
    )
  })

  it('tells the tilt, and the angle under which a pixel is seen', () => {
    const c = { tilt: -0.2, roll: 0.15, eye: 1.6 }
    const s = sightFor(c)
    expect(tiltDeg(s)).toBeCloseTo((-0.2 * 180) / Math.PI, 6)
    const [x, y, z] = cast(c, [1500, 900])
    expect(elevationDeg(s, [1500, 900])).toBeCloseTo(
      (Math.atan2(y, Math.sqrt(x * x + z * z)) * 180) / Math.PI,
      6,
    )
  })

  it('carries a known distance over by the horizon alone, whatever the focal length', () => {
    const c = { tilt: -0.1, roll: 0.1, eye: 1.7 }
    const [a, b]: [Pixel, Pixel] = [
      [500, 900],
      [1400, 700],
    ]
    const known = {
      value: { metres: march(c, a, flat), sd: 0, shared: 0 },
      evidence: { kind: 'set' },
    } as const
    const found = byNeighbour(sightFor(c), known, a, b, 0)
    expect(told(found) && found.value.metres).toBeCloseTo(march(c, b, flat), 6)
  })
})

describe('the round earth', () => {
  const R = 6_371_100 / 0.8321
  const round = (eye: number) => (x: number, y: number, z: number) =>
    Math.sqrt(x * x + z * z + (y + R) ** 2) <= R && (x !== 0 || y !== eye || z !== 0)

  it('has the navigators’ dip and horizon: 1.76′ √m, 1.17 √ft nautical miles [bowditch2002]', () => {
    expect((dipRad(9) * 180 * 60) / Math.PI / 3).toBeCloseTo(1.76, 2)
    expect(horizonM(0.3048 * 100) / 1852 / 10).toBeCloseTo(1.17, 2)
  })

  it('meets the sea where a ray cast against a ball meets it, under the visible horizon', () => {
    const c = { tilt: -0.01, roll: 0, eye: 20 }
    // The sea's horizon is no straight line: it sinks 0.4 px towards the picture's sides here.
    const s = sightFor(c, -dipRad(c.eye), [860, 1060])
    for (const p of [
      [960, 530],
      [960, 545],
      [960, 900],
    ] as Pixel[]) {
      const found = byGround(s, exact(c.eye), p, 0)
      const truth = march(c, p, round(c.eye))
      expect(told(found) && found.value.metres / truth).toBeCloseTo(1, 2)
    }
  })

  it('makes flat ground 5 % too far from the stated limit on', () => {
    // By hand: H/D against H/D + D/2R′ − dip.
    const eye = 1.6
    const d = flatUntil(eye, 0.05)
    expect(d).toBeCloseTo(119.3, 0)
    const seen = eye / (eye / d + d / (2 * R) - Math.sqrt((2 * eye) / R))
    expect(seen / d).toBeCloseTo(1.05, 4)
  })
})

describe('upright things', () => {
  it('are as many pixels as their ends cast, and back, before a tilted camera', () => {
    const c = { tilt: -0.3, roll: 0.1, eye: 4 }
    const s = sightFor(c)
    const foot: Pixel = [700, 800]
    const depth = march(c, foot, flat)
    const top = topOf(s, foot, depth, 1.8) as Pixel
    // The top's own ray passes over the foot at 1.8 m.
    const [fx, , fz] = cast(c, foot)
    const reach = (depth * Math.sqrt(fx * fx + fz * fz)) / F
    const [x, y, z] = cast(c, top)
    expect(c.eye + (reach * y) / Math.sqrt(x * x + z * z)).toBeCloseTo(1.8, 6)
    expect(Math.atan2(x, z)).toBeCloseTo(Math.atan2(fx, fz), 9)
    expect(heightOfPixels(s, foot, top, depth)).toBeCloseTo(1.8, 9)
  })

  // px = f/w · W · S/D by hand.
  it.each([
    [1.8, 10, 50, 36, 3840, 960],
    [1.8, 5, 35, 24.89, 4096, 2073.507],
    [1, 100, 85, 36, 1920, 45.333],
  ])('%f m at %f m, %f mm on %f mm and %i px, level: %f px', (size, away, f, w, wide, px) => {
    const focal = exact((f / w) * wide)
    const s = sightOf(wide, 1000, focal, undefined) as Sight
    expect(pixelsOfHeight(s, [wide / 3, 800], away, size)).toBeCloseTo(px, 3)
    const back = bySize(focal, exact(size), exact(px))
    expect(told(back) && back.value.metres / away).toBeCloseTo(1, 4)
  })
})
