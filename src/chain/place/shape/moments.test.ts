import { describe, expect, it } from 'vitest'
import { goingWith } from './follow.js'
import { pointsAt, type Shape, shapeAt } from './moments.js'
import { flatten } from './outline.js'

const key = (frame: number, ...points: [number, number][]) => ({ frame, points })
const keys = [key(10, [0, 0], [10, 0], [0, 10]), key(14, [4, 8], [14, 8], [4, 18])]
const shape: Shape = { kind: 'polygon', featherPx: 2, keys }

describe('the outline on a frame', () => {
  it('goes straight between keys and holds outside', () => {
    expect([...pointsAt(shape, 11)]).toEqual([1, 2, 11, 2, 1, 12])
    expect([...pointsAt(shape, 3)]).toEqual([0, 0, 10, 0, 0, 10])
    expect([...pointsAt(shape, 99)]).toEqual([4, 8, 14, 8, 4, 18])
  })

  it('goes with a track: a homography worked out by hand', () => {
    // (2x + 1, y) / (0.1x + 1) at x = 10: 21 / 2, 0.
    const frames = [
      { frame: 3, matrix: [2, 0, 1, 0, 1, 0, 0.1, 0, 1] },
      { frame: 12, matrix: [1, 0, 7, 0, 1, 9, 0, 0, 1] },
    ]
    const carry = goingWith({ frames }, 'all', [0, 0])
    expect([...pointsAt(shape, 10, carry(10))]).toEqual([1, 0, 10.5, 0, 1, 10])
    // Before the first and after the last frame that is known these hold.
    expect(carry(0)(10, 0)).toEqual([10.5, 0])
    expect(carry(99)(1, 1)).toEqual([8, 10])
    // It moves 6 px right between frames 11 and 12 by the track alone, of which a quarter lies within the blur before frame 12.
    const still: Shape = { ...shape, keys: [keys[0]!] }
    const { moments } = shapeAt(still, 12, { open: 0.5, carry })
    expect(Math.min(...moments.map(({ line }) => line[0] as number))).toBeGreaterThan(7 - 6 / 4)
    expect(Math.min(...moments.map(({ line }) => line[0] as number))).toBeLessThan(7 - 6 / 4 + 0.3)
  })

  it('takes of a track what it is to take, and bends with a mesh', () => {
    const frames = [{ frame: 0, matrix: [0, -2, 5, 2, 0, 0, 0, 0, 1] }]
    // About (4, 0), which goes to (5, 8): twice the size, a quarter turn.
    expect(goingWith({ frames }, 'place', [4, 0])(0)(5, 0)).toEqual([6, 8])
    expect(goingWith({ frames }, 'size', [4, 0])(0)(5, 0)).toEqual([7, 8])
    expect(goingWith({ frames }, 'turn', [4, 0])(0)(5, 0)).toEqual([5, 10])
    const mesh = { x: 0, y: 0, width: 10, height: 10, columns: 2, rows: 2 }
    const bent = [{ frame: 0, matrix: [1, 0, 0, 0, 1, 0, 0, 0, 1], nodes: [0, 0, 4, 0, 0, 0, 4, 0] }]
    expect(goingWith({ frames: bent, mesh }, 'all', [0, 0])(0)(5, 5)).toEqual([7, 5])
  })

  it('stands in the middle of its blur, and only as long as the shutter is open', () => {
    const { moments } = shapeAt(shape, 12, { open: 0.5 })
    const xs = moments.map(({ line }) => line[0] as number)
    expect((xs[0]! + xs.at(-1)!) / 2).toBeCloseTo(2, 9)
    expect(Math.max(...xs) - Math.min(...xs)).toBeLessThan(0.5)
    expect(Math.max(...xs) - Math.min(...xs)).toBeGreaterThan(0.4)
    expect(shapeAt(shape, 12, { open: 0 }).moments.length).toBe(1)
    expect(shapeAt(shape, 40, { open: 0.5 }).moments.length).toBe(1)
  })

  it('is drawn where the lens draws it', () => {
    const { moments } = shapeAt(shape, 10, { open: 0, drawn: (x, y) => [x + 100, 2 * y] })
    expect([...moments[0]!.line.subarray(0, 2)]).toEqual([100, 0])
  })
})

describe('a spline', () => {
  const ring = (n: number, r: number) =>
    Float64Array.from({ length: 2 * n }, (_, i) => {
      const a = ((i >> 1) * 2 * Math.PI) / n
      return r * (i % 2 === 0 ? Math.cos(a) : Math.sin(a))
    })

  it('goes through its points and stays near the circle that they lie on', () => {
    const points = ring(12, 100)
    const [line] = flatten([points], true)
    for (let i = 0; i < 24; i += 2) {
      const there = [...line!.keys()].some(
        (k) => k % 2 === 0 && Math.hypot(line![k]! - points[i]!, line![k + 1]! - points[i + 1]!) < 1e-9,
      )
      expect(there).toBe(true)
    }
    for (let k = 0; k < line!.length; k += 2)
      expect(Math.abs(Math.hypot(line![k]!, line![k + 1]!) - 100)).toBeLessThan(0.3)
  })

  it('is the curve of Barry and Goldman at its middle', () => {
    // [barry1988]: their pyramid of linear blends over centripetal knots, worked out here by itself.
    const p = [
      [0, 0],
      [9, 1],
      [12, 10],
      [3, 14],
    ]
    const t = [0]
    for (let i = 1; i < 4; i++)
      t.push(t[i - 1]! + Math.hypot(p[i]![0]! - p[i - 1]![0]!, p[i]![1]! - p[i - 1]![1]!) ** 0.5)
    const at = (t[1]! + t[2]!) / 2
    const mix = (a: number[], b: number[], from: number, to: number) =>
      a.map((v, c) => ((to - at) * v + (at - from) * b[c]!) / (to - from))
    const a1 = mix(p[0]!, p[1]!, t[0]!, t[1]!)
    const a2 = mix(p[1]!, p[2]!, t[1]!, t[2]!)
    const a3 = mix(p[2]!, p[3]!, t[2]!, t[3]!)
    const c = mix(mix(a1, a2, t[0]!, t[2]!), mix(a2, a3, t[1]!, t[3]!), t[1]!, t[2]!)
    const [line] = flatten([Float64Array.from(p.flat())], true)
    let nearest = Number.POSITIVE_INFINITY
    for (let k = 0; k < line!.length; k += 2)
      for (let s = 0; s <= 1; s += 0.02) {
        const n = (k + 2) % line!.length
        const x = line![k]! * (1 - s) + line![n]! * s
        const y = line![k + 1]! * (1 - s) + line![n + 1]! * s
        nearest = Math.min(nearest, Math.hypot(x - c[0]!, y - c[1]!))
      }
    expect(nearest).toBeLessThan(0.05)
  })

  it('bears points that lie on one another', () => {
    const [line] = flatten([Float64Array.of(0, 0, 0, 0, 10, 0, 10, 10)], true)
    expect(line!.every(Number.isFinite)).toBe(true)
  })
})
