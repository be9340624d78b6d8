/** Points of a far scene seen by cameras that turn, in three dimensions and exactly; what is done to their pictures is known. */
import { describe, expect, it } from 'vitest'
import { uniform } from '../../../../core/index.js'
import type { SeenPoint } from '../seen.js'
import { warpsIn } from './judge.js'
import { stepsOf } from './steps.js'

const [WIDTH, HEIGHT, FOCAL, FRAMES, SPREAD] = [1280, 720, 1100, 60, 0.05]
const MIDDLE = [WIDTH / 2, HEIGHT / 2] as const

type Vector = readonly [number, number, number]

/** Sum of twelve, less six. */
function normal(a: number, b: number, c: number): number {
  let sum = -6
  for (let k = 0; k < 12; k++) sum += uniform(5, a, b, c, k)
  return sum
}

/** A hand: turns about two axes and a little roll, radians, at any time in frames. */
function hand(t: number): Vector {
  const w = (a: number, b: number, c: number) => Math.sin(a * t) + 0.7 * Math.sin(b * t + c)
  return [0.012 * w(0.23, 0.61, 1), 0.016 * w(0.19, 0.47, 2) + 0.002 * t, 0.004 * w(0.31, 0.71, 3)]
}

function seenAt([pitch, yaw, roll]: Vector, [x, y, z]: Vector): [number, number] {
  const [a, b] = [x * Math.cos(yaw) - z * Math.sin(yaw), x * Math.sin(yaw) + z * Math.cos(yaw)]
  const [c, d] = [y * Math.cos(pitch) - b * Math.sin(pitch), y * Math.sin(pitch) + b * Math.cos(pitch)]
  const [e, f] = [a * Math.cos(roll) - c * Math.sin(roll), a * Math.sin(roll) + c * Math.cos(roll)]
  return [MIDDLE[0] + (FOCAL * e) / d, MIDDLE[1] + (FOCAL * f) / d]
}

interface Filmed {
  readonly turns?: (t: number) => Vector
  /** Share of a frame's time over which rows are read. */
  readonly readout?: number
  /** Done to the picture afterwards. */
  readonly after?: (frame: number, x: number, y: number) => readonly [number, number]
  /** Where the camera stands, in the scene's unit; things lie 20 to 60 away. */
  readonly stands?: (frame: number) => Vector
}

function points({ turns = hand, readout = 0, after, stands }: Filmed): SeenPoint[] {
  return Array.from({ length: 220 }, (_, i) => {
    const away = 20 + 40 * uniform(1, 0, i, 2, 0)
    const place: Vector = [
      away * 1.5 * (uniform(1, 0, i, 0, 0) - 0.5),
      away * 0.8 * (uniform(1, 0, i, 1, 0) - 0.5),
      away,
    ]
    const seen: [number, number, number, number][] = []
    for (let f = 0; f < FRAMES; f++) {
      const s = stands?.(f) ?? [0, 0, 0]
      const rel: Vector = [place[0] - s[0], place[1] - s[1], place[2] - s[2]]
      let [x, y] = seenAt(turns(f), rel)
      // The row says when, and when says the row.
      for (let k = 0; k < 4 && readout !== 0; k++)
        [x, y] = seenAt(turns(f + readout * (y / HEIGHT - 0.5)), rel)
      ;[x, y] = after?.(f, x, y) ?? [x, y]
      if (x < 0 || y < 0 || x > WIDTH || y > HEIGHT) continue
      seen.push([f, x + SPREAD * normal(i, f, 0), y + SPREAD * normal(i, f, 1), SPREAD])
    }
    return { from: [seen[0]?.[1] ?? 0, seen[0]?.[2] ?? 0] as const, seen }
  })
}

const found = (filmed: Filmed, focal?: number) =>
  warpsIn(stepsOf(points(filmed), MIDDLE, HEIGHT), HEIGHT, focal)

/** A stabiliser that crops: the picture is shifted against most of the camera's turning. */
const cropped: Filmed = {
  after: (f, x, y) => {
    const [pitch, yaw] = hand(f)
    return [x + 0.8 * FOCAL * yaw, y + 0.8 * FOCAL * pitch]
  },
}

describe('a true hand-held camera', () => {
  for (const focal of [FOCAL, undefined]) {
    it(`has nothing said of it${focal ? '' : ', its focal length unknown'}`, () => {
      const { said, shiftPx, rowsPx, readout } = found({}, focal)
      expect(said).toEqual([])
      expect(shiftPx!.value).toBeLessThan(0.1)
      expect(rowsPx!.value).toBeLessThan(0.1)
      expect(Math.abs(readout!.value)).toBeLessThan(0.1)
    })
  }
})

it('measures how long the rows are read, and puts it down to the sensor', () => {
  for (const readout of [0.4, 0.8, -0.6]) {
    const r = found({ readout }, FOCAL)
    expect(Math.abs(r.readout!.value - readout)).toBeLessThan(0.1)
    expect(r.said[0]).toMatch(/Rows are read.*the sensor/)
    expect(r.said.filter((s) => /stabiliser that/.test(s))).toEqual([])
  }
})

it('tells a picture that is shifted against the turning', () => {
  for (const focal of [FOCAL, undefined]) {
    const r = found(cropped, focal)
    expect(r.said.some((s) => /as no turning about the lens/.test(s))).toBe(focal !== undefined)
  }
})

it('tells rows that go their own ways, and not what did it', () => {
  const wobble = found(
    {
      after: (f, x, y) => [x + 0.8 * Math.sin(f * 2.1 + y / 60), y],
    },
    FOCAL,
  )
  expect(wobble.rowsPx!.value).toBeGreaterThan(0.3)
  expect(wobble.said.some((s) => /does not tell which/.test(s))).toBe(true)
})

it('does not take a camera that is carried along for a stabiliser', () => {
  const r = found({ stands: (f) => [0.08 * f, 0.1 * Math.sin(f / 4), 0] }, FOCAL)
  expect(r.left).toBeGreaterThan(2)
  expect(r.said.some((s) => /a stabiliser that/.test(s))).toBe(false)
})

it('cannot tell from a few frames', () => {
  const few = points({}).map((p) => ({ ...p, seen: p.seen.slice(0, 6) }))
  expect(warpsIn(stepsOf(few, MIDDLE, HEIGHT), HEIGHT, FOCAL).said[0]).toMatch(/cannot be told/)
})
