import { describe, expect, it } from 'vitest'
import { chance, normal } from '../../../../test/worlds/chance.js'
import { Problem } from '../../../core/index.js'
import { at, type Matrix3, type Place } from './matrix.js'
import type { SeenPoint, Sighting } from './seen.js'
import { type Solved, solveMotion } from './solve.js'

const W = 1920
const H = 1080

interface Scene {
  readonly motion: (frame: number) => Matrix3
  readonly count: number
  readonly points: number
  readonly noise: number
  readonly outliers?: number
  readonly hidden?: (frame: number, point: number) => boolean
  readonly seed?: number
}

/** Points within a region of 700 × 500 px, seen with normal errors; the wrong ones wander off on their own. */
function filmed({
  motion,
  count,
  points,
  noise,
  outliers = 0,
  hidden = () => false,
  seed = 1,
}: Scene): SeenPoint[] {
  return Array.from({ length: points }, (_, i) => {
    const from: Place = [600 + 700 * chance(seed, i, 1, 90), 300 + 500 * chance(seed, i, 2, 90)]
    const wrong = i < outliers * points
    const seen = Array.from({ length: count }, (_, frame): Sighting => {
      const [x, y] = at(motion(frame), ...from)
      const off = wrong ? frame * 0.8 + 3 : 0
      return [
        frame,
        x + noise * normal(seed, frame, i, 1) + off * Math.cos(i * 2),
        y + noise * normal(seed, frame, i, 2) + off * Math.sin(i * 2),
        noise,
      ]
    }).filter(([frame]) => frame > 0 && !hidden(frame, i))
    return { from, seen }
  })
}

/** Hand-held: a slow wander of some pixels and a tremor. */
const sway = (f: number) => [
  6 * Math.sin(f / 17) + 2 * Math.sin(f / 5.1),
  4 * Math.sin(f / 23) + 1.5 * Math.sin(f / 4.3),
]
function moves(f: number): Record<'translation' | 'similarity' | 'homography', Matrix3> {
  const [dx, dy] = sway(f) as [number, number]
  const [zoom, roll] = [1 + f / 1500, 0.02 * Math.sin(f / 31)]
  const [c, s] = [zoom * Math.cos(roll), zoom * Math.sin(roll)]
  const about: Matrix3 = [
    c,
    -s,
    W / 2 - c * (W / 2) + s * (H / 2) + dx,
    s,
    c,
    H / 2 - s * (W / 2) - c * (H / 2) + dy,
    0,
    0,
    1,
  ]
  const [g, h] = [4e-7 * f, -2e-7 * f]
  return {
    translation: [1, 0, dx, 0, 1, dy, 0, 0, 1],
    similarity: about,
    homography: [about[0] + g * 900, about[1], about[2], about[3], about[4], about[5], g, h, 1],
  }
}

const middle: Place = [950, 550]

function errorsAt(solved: Solved, motion: Scene['motion'], place: Place = middle) {
  return solved.frames.map((f) => {
    const [[x, y], [u, v]] = [at(f.matrix, ...place), at(motion(f.frame), ...place)]
    return { ...f, dx: x - u, dy: y - v, px: Math.sqrt((x - u) ** 2 + (y - v) ** 2) }
  })
}
const frames = (count: number) => ({ first: 0, count })
const rms = (v: readonly number[]) => Math.sqrt(v.reduce((s, x) => s + x * x, 0) / v.length)

describe('a motion over a shot', () => {
  for (const kind of ['translation', 'similarity', 'homography'] as const) {
    it(`finds ${kind}, with 40 % of the points wrong, within 0.1 px and without drift over 300 frames`, () => {
      const motion = (f: number) => moves(f)[kind]
      const points = filmed({ motion, count: 300, points: 60, noise: 0.1, outliers: 0.4 })
      const solved = solveMotion({ reference: 0, frames: frames(300), points })
      expect(solved.motion, solved.why).toBe(kind)
      const errors = errorsAt(solved, motion)
      expect(errors.every((e) => e.state === 'tracked')).toBe(true)
      expect(rms(errors.map((e) => e.px))).toBeLessThan(0.1)
      // No drift: the last 30 frames are no further off, on average, than the spread of their mean says.
      for (const axis of ['dx', 'dy'] as const) {
        const last = errors.slice(270)
        const mean = last.reduce((s, e) => s + e[axis], 0) / 30
        expect(Math.abs(mean)).toBeLessThan((4 * rms(last.map((e) => e.spreadPx))) / Math.sqrt(30))
      }
    })
  }

  it('knows its spread: errors over spreads have variance 1 within 10 %, whatever the points say of theirs', () => {
    // Spread is that of the points' places: the errors are taken there.
    for (const [kind, stated] of [
      ['translation', 0.3],
      ['similarity', 0.15],
      ['homography', 0.6],
    ] as const) {
      const motion = (f: number) => moves(f)[kind]
      let [sum, n] = [0, 0]
      for (let seed = 1; seed <= 12; seed++) {
        const points = filmed({ motion, count: 60, points: 25, noise: 0.3, outliers: 0.2, seed }).map(
          (p) => ({
            ...p,
            seen: p.seen.map(([f, x, y]): Sighting => [f, x, y, stated]),
          }),
        )
        const solved = solveMotion({ reference: 0, frames: frames(60), points, motion: kind })
        for (const { from } of points) {
          for (const e of errorsAt(solved, motion, from).slice(1)) {
            sum += (e.dx ** 2 + e.dy ** 2) / 2 / e.spreadPx ** 2
            n++
          }
        }
      }
      expect(sum / n, kind).toBeGreaterThan(0.9)
      expect(sum / n, kind).toBeLessThan(1.1)
    }
  })

  it('goes on while 40 % of the points are covered for 20 frames', () => {
    const motion = (f: number) => moves(f).similarity
    const hidden = (f: number, i: number) => f >= 40 && f < 60 && i % 5 < 2
    const solved = solveMotion({
      reference: 0,
      frames: frames(100),
      points: filmed({ motion, count: 100, points: 30, noise: 0.3, hidden }),
    })
    const errors = errorsAt(solved, motion)
    expect(solved.frames.slice(40, 60).map((f) => [f.state, f.seen])).toEqual(Array(20).fill(['tracked', 18]))
    expect(rms(errors.slice(40, 60).map((e) => e.px))).toBeLessThan(0.3)
  })

  it('bridges what is covered whole, with a spread that is true and largest amid the gap', () => {
    let [sum, n] = [0, 0]
    for (let seed = 1; seed <= 20; seed++) {
      const phase = 100 * seed
      const motion = (f: number) => moves(f + phase).translation
      const base = motion(0)
      const from0 = (f: number): Matrix3 => [
        1,
        0,
        motion(f)[2] - base[2],
        0,
        1,
        motion(f)[5] - base[5],
        0,
        0,
        1,
      ]
      const hidden = (f: number) => f >= 60 && f < 72
      const solved = solveMotion({
        reference: 0,
        frames: frames(140),
        points: filmed({ motion: from0, count: 140, points: 10, noise: 0.1, hidden, seed }),
      })
      const gap = errorsAt(solved, from0).slice(60, 72)
      expect(gap.map((e) => e.state)).toEqual(Array(12).fill('bridged'))
      const spreads = gap.map((e) => e.spreadPx)
      expect(Math.max(...spreads)).toBe(Math.max(spreads[5] as number, spreads[6] as number))
      for (const e of gap) {
        sum += (e.dx ** 2 + e.dy ** 2) / 2 / e.spreadPx ** 2
        n++
      }
      expect(solved.said.join()).toMatch(/Frames 60 to 71 are carried over from both sides/)
    }
    expect(sum / n).toBeGreaterThan(0.4)
    expect(sum / n).toBeLessThan(1.6)
  })

  it('a frame too blurred is bridged, and what lies beyond the last sighting is lost', () => {
    const motion = (f: number) => moves(f).translation
    const points = filmed({ motion, count: 60, points: 8, noise: 0.1, hidden: (f) => f >= 55 })
    const { frames: done, said } = solveMotion({ reference: 0, frames: frames(60), points, hidden: [30] })
    expect(done.map((f) => f.state)).toEqual(
      done.map((f) => (f.frame === 30 ? 'bridged' : f.frame >= 55 ? 'lost' : 'tracked')),
    )
    expect(done[59]?.matrix).toEqual(done[54]?.matrix)
    expect(said.at(-1)).toMatch(/^Frames 55 to 59 are lost/)
  })
})

describe('jumps', () => {
  const jumping = (f: number): Matrix3 => {
    const m = moves(f).translation
    return f < 50 ? m : [1, 0, m[2] + 14, 0, 1, m[5] - 6, 0, 0, 1]
  }

  it('are found where they are, and nothing is smeared', () => {
    const solved = solveMotion({
      reference: 0,
      frames: frames(100),
      points: filmed({ motion: jumping, count: 100, points: 12, noise: 0.1 }),
    })
    expect(solved.said).toHaveLength(1)
    expect(solved.said[0]).toMatch(/between frames 49 and 50:/)
    expect(Math.max(...errorsAt(solved, jumping).map((e) => e.px))).toBeLessThan(0.4)
  })

  it('within a gap leave it lost', () => {
    const hidden = (f: number) => f >= 48 && f < 53
    const solved = solveMotion({
      reference: 0,
      frames: frames(100),
      points: filmed({
        motion: (f) => {
          const m = jumping(f)
          return f < 50 ? m : [1, 0, m[2] + 80, 0, 1, m[5], 0, 0, 1]
        },
        count: 100,
        points: 12,
        noise: 0.1,
        hidden,
      }),
    })
    expect(solved.frames.slice(47, 54).map((f) => f.state)).toEqual([
      'tracked',
      ...Array(5).fill('lost'),
      'tracked',
    ])
  })

  it('nor is a cut bridged that is known', () => {
    const hidden = (f: number) => f >= 48 && f < 53
    const motion = (f: number) => moves(f).translation
    const solved = solveMotion({
      reference: 0,
      frames: frames(100),
      points: filmed({ motion, count: 100, points: 12, noise: 0.1, hidden }),
      cuts: [50],
    })
    expect(solved.frames.slice(48, 53).every((f) => f.state === 'lost')).toBe(true)
  })

  it('are not heard where a camera sets off, or on a hand-held shot', () => {
    const off = (f: number): Matrix3 => [1, 0, f < 30 ? 0 : 4 * (f - 30), 0, 1, 0, 0, 0, 1]
    for (const motion of [off, (f: number) => moves(f).similarity]) {
      const solved = solveMotion({
        reference: 0,
        frames: frames(100),
        points: filmed({ motion, count: 100, points: 12, noise: 0.1 }),
      })
      expect(solved.said).toEqual([])
    }
  })
})

describe('corrections by hand', () => {
  const motion = (f: number) => moves(f).similarity
  const points = filmed({ motion, count: 60, points: 12, noise: 0.1 })
  const plain = solveMotion({ reference: 0, frames: frames(60), points, motion: 'similarity' })

  it('hold exactly on their frame, and fade', () => {
    const from: Place = [900, 500]
    const [x, y] = at(plain.frames[40]?.matrix as Matrix3, ...from)
    const corrections = [{ frame: 40, from, to: [x + 3, y - 2] as Place }]
    const solved = solveMotion({
      reference: 0,
      frames: frames(60),
      points,
      motion: 'similarity',
      corrections,
    })
    const moved = solved.frames.map((f, i) => {
      const [u, v] = at(f.matrix, ...from)
      const [p, q] = at(plain.frames[i]?.matrix as Matrix3, ...from)
      return [u - p, v - q] as const
    })
    expect(moved[40]).toEqual([expect.closeTo(3, 9), expect.closeTo(-2, 9)])
    expect(moved[43]?.[0]).toBeCloseTo(3 * 0.75, 6)
    expect(moved[34]?.[0]).toBeCloseTo(1.5, 6)
    for (const i of [0, 20, 28, 52, 59]) expect(moved[i]?.[0]).toBeCloseTo(0, 9)
    expect(solved.frames.map((f) => f.state).filter((s) => s === 'corrected')).toHaveLength(1)
    expect(solved.frames[36]?.spreadPx).toBeGreaterThan(plain.frames[36]?.spreadPx as number)
  })

  it('two of them are mixed in between; two pairs on a frame correct size and turn as well', () => {
    const ends: [Place, Place] = [
      [700, 400],
      [1200, 700],
    ]
    const to = ends.map((p) => at(motion(42), ...p).map((v, i) => v * 1.01 + i) as unknown as Place)
    const corrections = [
      ...ends.map((from, i) => ({ frame: 42, from, to: to[i] as Place })),
      { frame: 50, from: ends[0], to: at(plain.frames[50]?.matrix as Matrix3, ...ends[0]) },
    ]
    const solved = solveMotion({
      reference: 0,
      frames: frames(60),
      points,
      motion: 'similarity',
      corrections,
    })
    ends.forEach((from, i) => {
      const [u, v] = at(solved.frames[42]?.matrix as Matrix3, ...from)
      expect([u, v]).toEqual([
        expect.closeTo(to[i]?.[0] as number, 8),
        expect.closeTo(to[i]?.[1] as number, 8),
      ])
    })
    const off = (i: number) =>
      at(solved.frames[i]?.matrix as Matrix3, ...ends[0])[0] -
      at(plain.frames[i]?.matrix as Matrix3, ...ends[0])[0]
    expect(off(46)).toBeCloseTo(off(42) / 2, 4)
    expect(off(50)).toBeCloseTo(0, 9)
  })

  it('carry a bridge where nothing is seen', () => {
    const gone = filmed({ motion, count: 60, points: 12, noise: 0.1, hidden: (f) => f > 20 && f < 40 })
    const from: Place = [900, 500]
    const asked = { reference: 0, frames: frames(60), points: gone, motion: 'similarity' as const }
    const without = solveMotion(asked)
    const solved = solveMotion({ ...asked, corrections: [{ frame: 30, from, to: at(motion(30), ...from) }] })
    const worst = (s: Solved) =>
      Math.max(
        ...errorsAt(s, motion, from)
          .slice(21, 40)
          .map((e) => e.px),
      )
    expect(solved.frames[30]?.state).toBe('corrected')
    expect(worst(solved)).toBeLessThan(worst(without) / 1.5)
    expect(solved.frames[25]?.spreadPx).toBeLessThan(without.frames[25]?.spreadPx as number)
  })
})

it('straightens points and corrections of a plate with distortion', () => {
  const bend = ([x, y]: readonly [number, number]): Place => [x + 1e-5 * (x - 960) ** 2, y]
  const straight = (x: number, y: number): Place => [960 + (Math.sqrt(1 + 4e-5 * (x - 960)) - 1) / 2e-5, y]
  const motion = (f: number) => moves(f).similarity
  const points = filmed({ motion, count: 20, points: 12, noise: 0.05 }).map((p) => ({
    from: bend(p.from),
    seen: p.seen.map(([f, x, y, s]): Sighting => [f, ...bend([x, y]), s]),
  }))
  const solved = solveMotion({ reference: 0, frames: frames(20), points, straight })
  expect(solved.motion).toBe('similarity')
  expect(rms(errorsAt(solved, motion).map((e) => e.px))).toBeLessThan(0.1)
})

it('refuses what cannot be solved', () => {
  const point = { from: [5, 5] as Place, seen: [] }
  const code = (work: () => unknown) => {
    try {
      work()
    } catch (e) {
      return e instanceof Problem ? e.code : e
    }
    return undefined
  }
  expect(code(() => solveMotion({ reference: 9, frames: frames(5), points: [point] }))).toBe(
    'place.motion-reference',
  )
  expect(code(() => solveMotion({ reference: 0, frames: frames(5), points: [] }))).toBe('place.motion-points')
  const corrections = [{ frame: 0, from: [1, 1] as Place, to: [2, 2] as Place }]
  expect(code(() => solveMotion({ reference: 0, frames: frames(5), points: [point], corrections }))).toBe(
    'place.motion-correction',
  )
  expect(
    code(() => solveMotion({ reference: 0, frames: frames(5), points: [point], motion: 'rotation' })),
  ).toBe('place.motion-lens')
})

it('gives the same numbers again', () => {
  const points = filmed({
    motion: (f) => moves(f).homography,
    count: 30,
    points: 20,
    noise: 0.2,
    outliers: 0.3,
  })
  const once = solveMotion({ reference: 10, frames: frames(30), points })
  expect(solveMotion({ reference: 10, frames: frames(30), points })).toEqual(once)
})
