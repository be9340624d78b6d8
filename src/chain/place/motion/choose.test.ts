import { describe, expect, it } from 'vitest'
import { chance, normal } from '../../../../test/worlds/chance.js'
import { motions, trackDataSchema } from '../../../shot/index.js'
import { motionOfAngles } from './exchange/angles.js'
import { MODELS } from './fit/models.js'
import { samplesNeeded } from './fit/sample.js'
import { at, type Matrix3, type Place } from './matrix.js'
import type { SeenPoint } from './seen.js'
import { solveMotion } from './solve.js'

const COUNT = 40
function seen(
  places: readonly Place[],
  motion: (f: number) => Matrix3,
  noise = 0.3,
  stated = noise,
): SeenPoint[] {
  return places.map((from, i) => ({
    from,
    seen: Array.from({ length: COUNT }, (_, f) => {
      const [x, y] = at(motion(f), ...from)
      return [f, x + noise * normal(9, f, i, 1), y + noise * normal(9, f, i, 2), stated] as const
    }),
  }))
}
const cloud = (
  n: number,
  [x, y, w, h]: readonly [number, number, number, number] = [500, 300, 900, 500],
): Place[] => Array.from({ length: n }, (_, i) => [x + w * chance(3, i, 1), y + h * chance(3, i, 2)])
const solved = (points: SeenPoint[], more = {}) =>
  solveMotion({ reference: 0, frames: { first: 0, count: COUNT }, points, ...more })

const pushIn = (f: number): Matrix3 => [1 + f / 400, 0, -2 * f, 0, 1 + f / 400, -f, 0, 0, 1]
const slide = (f: number): Matrix3 => [1, 0, 2 * f, 0, 1, -f, 0, 0, 1]
const slant = (f: number): Matrix3 => [1 + f / 400, f / 900, -2 * f, 0, 1, -f, 0, 0, 1]
const lean = (f: number): Matrix3 => [1, 0, 0, 0, 1, 0, f * 1e-6, -f * 5e-7, 1]
const middle: Place = [960, 540]
const still = { pan: 0, tilt: 0, roll: 0, focalPx: 1600 }
const pan = (f: number): Matrix3 =>
  motionOfAngles(still, { ...still, pan: f / 3, tilt: f / 8, roll: f / 40 }, middle)

describe('the motion that the evidence allows', () => {
  it('is the one that there is, and none freer', () => {
    const cases = [
      ['translation', slide],
      ['similarity', pushIn],
      ['affine', slant],
      ['homography', lean],
    ] as const
    for (const [kind, motion] of cases) {
      for (const n of [6, 12, 60]) {
        const { motion: found, why } = solved(seen(cloud(n), motion))
        expect(found, `${n} points: ${why}`).toBe(kind)
      }
    }
  })

  it('does not depend on how well the points claim to be known, where there are enough of them', () => {
    for (const stated of [0.1, 0.9]) {
      expect(solved(seen(cloud(30), pushIn, 0.3, stated)).motion).toBe('similarity')
    }
    expect(solved(seen(cloud(30), pushIn, 0.3, 0.05)).why).toMatch(
      /errors are (5\.[5-9]|6(\.[0-4])?) times their spreads/,
    )
  })

  it('says why in a sentence', () => {
    expect(solved(seen(cloud(30), pushIn)).why).toMatch(
      /^it leaves 0\.\d+ px on the 40 frames that were tried; translation leaves [\d.]+ px; affine leaves 0\.\d+ px, which its further freedom explains$/,
    )
  })

  it('is a stiffer one where the points cannot show a freer, and says so', () => {
    const line: Place[] = [0, 1, 2, 3, 4, 5].map((i) => [400 + 150 * i, 300 + 75 * i])
    const cases: [Place[], string, RegExp][] = [
      [[[900, 500]], 'translation', /one point shows a place alone/],
      [
        [
          [900, 500],
          [1300, 600],
        ],
        'similarity',
        /two points show place, size and turn alone/,
      ],
      [line, 'similarity', /points lie on a line/],
      [cloud(3), 'affine', /three points do not show perspective/],
      [cloud(8, [900, 500, 0.5, 0.5]), 'translation', /too close together/],
    ]
    for (const [places, kind, why] of cases) {
      const { motion, why: said } = solved(
        seen(places, (f) => [1 + f / 300, f / 500, 0, 0, 1 - f / 400, 0, f * 1e-6, f * 1e-6, 1]),
      )
      expect([motion, said]).toEqual([kind, expect.stringMatching(why)])
    }
  })
})

describe('a turning camera', () => {
  it('is told from a homography, with its focal length', () => {
    const { motion, focalPx, why, frames } = solved(seen(cloud(40, [200, 100, 1500, 850]), pan), {
      lens: { middle },
    })
    expect(motion, why).toBe('rotation')
    expect(Math.abs((focalPx as number) / 1600 - 1)).toBeLessThan(0.01)
    for (const f of frames) {
      const [[x, y], [u, v]] = [at(f.matrix, 1700, 900), at(pan(f.frame), 1700, 900)]
      expect(Math.sqrt((x - u) ** 2 + (y - v) ** 2)).toBeLessThan(1)
    }
  })

  it('has the focal length that is known', () => {
    const asked = solved(seen(cloud(12), pan), { lens: { middle, focalPx: 1600 }, motion: 'rotation' })
    expect(asked.focalPx).toBe(1600)
    expect(asked.frames.every((f) => f.state === 'tracked')).toBe(true)
  })

  it('is not claimed where the turns are too small to bend anything', () => {
    const points = seen(cloud(20), (f) => motionOfAngles(still, { ...still, pan: f / 4000 }, middle))
    expect(solved(points, { lens: { middle } }).motion).toBe('translation')
    expect(() => solved(points, { lens: { middle }, motion: 'rotation' })).toThrow(
      /focal length of this turning camera cannot be told/,
    )
  })
})

it('samples as many times as the published table says (hartley2004 table 4.3, p = 0.99)', () => {
  const table = [
    [2, 0.5, 17],
    [4, 0.05, 3],
    [4, 0.2, 9],
    [4, 0.3, 17],
    [4, 0.5, 72],
    [8, 0.5, 1177],
  ] as const
  for (const [size, wrong, n] of table) expect(samplesNeeded(0.99, wrong, size)).toBe(n)
})

it('is what a track’s file takes', () => {
  expect(Object.keys(MODELS)).toEqual(motions.filter((m) => m !== 'mesh'))
  const { focalPx: _, motion, why, frames, said } = solved(seen(cloud(12), pushIn))
  const document = {
    platefitTrack: 1,
    id: 'wall',
    madeFrom: '0'.repeat(64),
    plate: { width: 1920, height: 1080 },
    reference: 0,
    motion,
    why,
    frames,
    said,
    points: [],
  }
  expect(trackDataSchema.safeParse(document).error).toBeUndefined()
})
