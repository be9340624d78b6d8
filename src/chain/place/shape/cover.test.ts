import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Region } from '../../../core/index.js'
import { shapeCoverage } from './cover.js'
import { momentsFor, type Shape, shapeAt } from './moments.js'

const still = { open: 0 }
const FRAME: Region = { x: 0, y: 0, width: 48, height: 40 }
type Point = [number, number]

function square(x: number, y: number, side: number): Point[] {
  return [
    [x, y],
    [x + side, y],
    [x + side, y + side],
    [x, y + side],
  ]
}

function polygon(points: Point[], featherPx: number): Shape {
  return { kind: 'polygon', featherPx, keys: [{ frame: 0, points }] }
}

function shares(shape: Shape, part = FRAME, frame = 0, carriage = still as Parameters<typeof shapeAt>[2]) {
  const out = new Float32Array(part.width * part.height)
  const covered = shapeCoverage(shapeAt(shape, frame, carriage), part)
  if (covered === undefined) return out
  const { region: r, share } = covered
  for (let y = 0; y < r.height; y++)
    out.set(share.subarray(y * r.width, (y + 1) * r.width), (y + r.y - part.y) * part.width + r.x - part.x)
  return out
}

/** Crossing number by a ray to the right, and the distance by brute force: nothing of this is shared with the code. */
function naive(points: readonly Point[], featherPx: number, part = FRAME, per = 32): Float32Array {
  const out = new Float32Array(part.width * part.height)
  for (let y = 0; y < part.height; y++)
    for (let x = 0; x < part.width; x++) {
      let sum = 0
      for (let v = 0; v < per; v++)
        for (let u = 0; u < per; u++)
          sum += ramp(part.x + x + (u + 0.5) / per, part.y + y + (v + 0.5) / per, points, featherPx)
      out[y * part.width + x] = sum / (per * per)
    }
  return out
}

function ramp(x: number, y: number, points: readonly Point[], featherPx: number): number {
  let winding = 0
  let nearest = Number.POSITIVE_INFINITY
  points.forEach(([ax, ay], i) => {
    const [bx, by] = points[(i + 1) % points.length]!
    if (ay <= y !== by <= y && ax + ((y - ay) * (bx - ax)) / (by - ay) > x) winding += by > ay ? 1 : -1
    const long = (bx - ax) ** 2 + (by - ay) ** 2
    const t = long === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long))
    nearest = Math.min(nearest, Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)))
  })
  const inside = winding !== 0
  if (featherPx === 0) return inside ? 1 : 0
  const s = Math.min(1, Math.max(0, 0.5 + (inside ? nearest : -nearest) / featherPx))
  return s * s * (3 - 2 * s)
}

function worst(a: Float32Array, b: Float32Array): number {
  return a.reduce((most, v, i) => Math.max(most, Math.abs(v - b[i]!)), 0)
}

/** Four of the star's points, sharp and blunt corners. */
const PART: Region = { x: 4, y: 2, width: 40, height: 17 }
const truths = new Map<number, Float32Array>()
const truth = (feather: number) => {
  const known = truths.get(feather) ?? naive(star, feather, PART)
  truths.set(feather, known)
  return known
}

const star: Point[] = [
  [24.3, 3.1],
  [29.7, 15.2],
  [42.1, 16.4],
  [32.2, 24.6],
  [35.4, 36.7],
  [24.1, 29.8],
  [12.6, 36.2],
  [16.1, 24.3],
  [5.9, 16.8],
  [18.5, 15.4],
]

describe('a shape', () => {
  it('without a border has the true area of every pixel: a square on quarters of pixels', () => {
    const got = shares(polygon(square(10.25, 8.5, 12.25), 0))
    const inside = (x: number, from: number, to: number) =>
      Math.max(0, Math.min(x + 1, to) - Math.max(x, from))
    for (let y = 0; y < FRAME.height; y++)
      for (let x = 0; x < FRAME.width; x++)
        expect(got[y * FRAME.width + x]).toBeCloseTo(inside(x, 10.25, 22.5) * inside(y, 8.5, 20.75), 4)
  })

  it('has the area of its outline: a triangle, and a circle of many points', () => {
    const sum = (a: Float32Array) => a.reduce((s, v) => s + v, 0)
    expect(
      sum(
        shares(
          polygon(
            [
              [3.2, 4.1],
              [41.5, 9.3],
              [15.4, 37.7],
            ],
            0,
          ),
        ),
      ),
    ).toBeCloseTo(Math.abs((41.5 - 3.2) * (37.7 - 4.1) - (15.4 - 3.2) * (9.3 - 4.1)) / 2, 1)
    const ring = Array.from(
      { length: 720 },
      (_, i): Point => [
        23.7 + 14.2 * Math.cos((i * Math.PI) / 360),
        20.1 + 14.2 * Math.sin((i * Math.PI) / 360),
      ],
    )
    expect(sum(shares(polygon(ring, 0)))).toBeCloseTo(Math.PI * 14.2 ** 2, 0)
  })

  it('has the share that 32 × 32 samples of each pixel find', () => {
    // The samples themselves are right within their spacing along one side.
    expect(worst(shares(polygon(star, 0), PART), truth(0))).toBeLessThan(1 / 32)
    for (const [feather, limit] of [
      [0.5, 0.02],
      [1.5, 0.01],
      [3, 0.02],
      [6, 0.06],
      [12, 0.03],
    ] as const) {
      // So much only in the very pixel of a sharp corner.
      const off = shares(polygon(star, feather), PART).map((v, i) => Math.abs(v - truth(feather)[i]!))
      expect([feather, Math.max(...off) < limit]).toEqual([feather, true])
      expect(off.filter((v) => v > limit / 4).length).toBeLessThan(40)
    }
  })

  it('is soft by the distance of a circle, in pixels away from where the middle is', () => {
    const ring = Array.from(
      { length: 720 },
      (_, i): Point => [24 + 13 * Math.cos((i * Math.PI) / 360), 20 + 13 * Math.sin((i * Math.PI) / 360)],
    )
    const got = shares(polygon(ring, 8))
    for (let y = 0; y < FRAME.height; y++)
      for (let x = 0; x < FRAME.width; x++) {
        const s = Math.min(1, Math.max(0, 0.5 + (13 - Math.hypot(x + 0.5 - 24, y + 0.5 - 20)) / 8))
        expect(Math.abs(got[y * FRAME.width + x]! - s * s * (3 - 2 * s))).toBeLessThan(0.006)
      }
  })

  it('that crosses itself is whole wherever its outline goes round', () => {
    const twice = [...star, ...star]
    const back = [...star].reverse()
    for (const feather of [0, 3]) {
      const once = shares(polygon(star, feather))
      // On the border itself what goes round twice counts twice where it is sharp.
      expect(shares(polygon(twice, feather)).map((v) => (v === 1 ? 1 : 0))).toEqual(
        once.map((v) => (v === 1 || (feather === 0 && v >= 0.5) ? 1 : 0)),
      )
      expect(worst(shares(polygon(back, feather)), once)).toBeLessThan(1e-4)
    }
    // Of a pentagram the middle belongs to it.
    const pentagram = [0, 2, 4, 1, 3].map(
      (k): Point => [24 + 16 * Math.sin((k * 2 * Math.PI) / 5), 20 - 16 * Math.cos((k * 2 * Math.PI) / 5)],
    )
    expect(shares(polygon(pentagram, 0))[20 * FRAME.width + 24]).toBe(1)
  })

  it('has the same bytes in any part of the picture', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(
            fc.double({ min: -9, max: 60, noNaN: true }),
            fc.double({ min: -9, max: 50, noNaN: true }),
          ),
          {
            minLength: 3,
            maxLength: 7,
          },
        ),
        fc.constantFrom(0, 0.7, 2.5, 9),
        fc.constantFrom('polygon' as const, 'spline' as const),
        fc.record({
          x: fc.integer({ min: 0, max: 40 }),
          y: fc.integer({ min: 0, max: 30 }),
          width: fc.integer({ min: 1, max: 20 }),
          height: fc.integer({ min: 1, max: 20 }),
        }),
        (points, featherPx, kind, part) => {
          const moved = points.map(([x, y]): Point => [x + 5, y - 3])
          const keys = [
            { frame: 0, points },
            { frame: 1, points: moved },
          ]
          const shape: Shape = { kind, featherPx, keys }
          const whole = shares(shape, FRAME, 0, { open: 0.5 })
          const own = shares(shape, part, 0, { open: 0.5 })
          for (let y = 0; y < part.height; y++)
            for (let x = 0; x < part.width; x++) {
              if (x + part.x >= FRAME.width || y + part.y >= FRAME.height) continue
              expect(own[y * part.width + x]).toBe(whole[(y + part.y) * FRAME.width + x + part.x])
            }
        },
      ),
      { numRuns: 60 },
    )
  })

  it('is blurred by the open shutter within 1/255 of 256 moments', () => {
    for (const feather of [0, 1.5, 6])
      for (const move of [3, 17, 60]) {
        const at = (t: number) => star.map(([x, y]): Point => [x + t * move, y - t * 0.3 * move])
        const shape: Shape = {
          kind: 'polygon',
          featherPx: feather,
          keys: [
            { frame: 0, points: at(-1) },
            { frame: 2, points: at(1) },
          ],
        }
        const got = shares(shape, FRAME, 1, { open: 0.5 })
        const want = new Float32Array(got.length)
        for (let i = 0; i < 256; i++)
          shares(polygon(at(0.5 * ((i + 0.5) / 256 - 0.5)), feather)).forEach((v, p) => {
            want[p]! += v / 256
          })
        expect([feather, move, worst(got, want) <= 1 / 255]).toEqual([feather, move, true])
      }
  })

  it('needs more moments the farther and the sharper it moves', () => {
    expect(momentsFor(40, 0)).toBeGreaterThan(momentsFor(10, 0))
    expect(momentsFor(40, 6)).toBeLessThan(momentsFor(40, 0))
  })
})
