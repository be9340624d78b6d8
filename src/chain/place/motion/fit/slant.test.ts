import { Matrix } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import { normal } from '../../../../../test/worlds/chance.js'
import { at, chained, type Matrix3, type Place } from '../matrix.js'
import { fitMotion } from './fit.js'
import { homography, similarity } from './models.js'
import { type Pair, pairsOf } from './pairs.js'
import { carriedOver, placedStill, squareAbout } from './slant.js'

const region: Place[] = [
  [500, 200],
  [1100, 400],
]
const corners = squareAbout(region)
/** A turn by 3°, a growth by 4 % and a shift. */
const step: Matrix3 = [1.0386, -0.0544, 40, 0.0544, 1.0386, -12, 0, 0, 1]
const slanted: Matrix3 = [1.0386, -0.0544, 40, 0.0544, 1.0386, -12, 4e-5, -2e-5, 1]

/** A cluster of nine within 30 px, and three that lie in a row with it far off. */
const strip: Place[] = [
  ...Array.from({ length: 9 }, (_, i): Place => [1000 + 12 * (i % 3), 290 + 12 * Math.floor(i / 3)]),
  [520, 250],
  [640, 260],
  [760, 270],
]
const seen = (m: Matrix3, spread: number, run: number) =>
  pairsOf(
    strip.map((p, i): Pair => {
      const [u, v] = at(m, ...p)
      return [p, [u + spread * normal(run, i, 0, 1), v + spread * normal(run, i, 1, 1)], spread]
    }),
  )
const off = (m: Matrix3, truth: Matrix3) =>
  Math.max(
    ...corners.map((c) => {
      const [a, b] = [at(m, ...c), at(truth, ...c)]
      return Math.hypot(a[0] - b[0], a[1] - b[1])
    }),
  )

describe('what one frame says of the next', () => {
  it('lies in a square however thin the strip is', () => {
    expect(corners).toEqual([
      [500, 0],
      [1100, 0],
      [1100, 600],
      [500, 600],
    ])
  })

  it('says nothing of shift, turn and size, and as much of every other direction as the walk leaves', () => {
    const prior = carriedOver(placedStill(corners), step, 0.25)
    const cost = (m: Matrix3) => {
      const there = corners.flatMap((c) => at(m, ...c))
      const r = Matrix.columnVector(there.map((v, i) => v - (prior?.where[i] as number)))
      return r.dot(prior?.information.mmul(r) as Matrix)
    }
    expect(cost(step)).toBeCloseTo(0, 9)
    // Similarities move corners along circles and rays: by 0.2 px the way is straight to some 1e-4 px.
    expect(cost(chained([1.0005, 0.0003, 0.2, -0.0003, 1.0005, 0.1, 0, 0, 1], step))).toBeLessThan(1e-4)
    // A shear of the square by 1 px either way, half of it a turn: eight numbers of ±½ px, of which the turn takes half.
    const shear: Matrix3 = [1, 1 / 300, -1, 0, 1, 0, 0, 0, 1]
    expect(cost(chained(step, shear))).toBeCloseTo((4 * 1.0386 ** 2 + 4 * 0.0544 ** 2) / 2 / 0.25, 1)
  })

  it('does not throw the corners about where the points are a cluster and a row', () => {
    const [free, held]: [number[], number[]] = [[], []]
    for (let run = 0; run < 40; run++) {
      const pairs = seen(step, 0.15, run)
      const about = fitMotion(similarity, pairs)?.matrix as Matrix3
      const prior = carriedOver(placedStill(corners), about, 0.25)
      const fit = fitMotion(homography, pairs, undefined, prior ? [prior] : [])
      held.push(off(fit?.matrix as Matrix3, step))
      free.push(off(fitMotion(homography, pairs)?.matrix ?? step, step))
    }
    const mean = (v: number[]) => v.reduce((a, b) => a + b, 0) / v.length
    expect(mean(held)).toBeLessThan(1.5)
    expect(mean(free)).toBeGreaterThan(10 * mean(held))
  })

  it('gives way to points that settle it', () => {
    const spread: Place[] = [...corners, [800, 300], [650, 120], [980, 520]]
    const pairs = pairsOf(spread.map((p) => [p, at(slanted, ...p), 0.05] as const))
    const prior = carriedOver(placedStill(corners), step, 0.25)
    const fit = fitMotion(homography, pairs, undefined, prior ? [prior] : [])
    expect(off(fit?.matrix as Matrix3, slanted)).toBeLessThan(0.4)
    expect(off(step, slanted)).toBeGreaterThan(20)
  })

  it('knows how far off it is: errors over spreads have variance 1 when the slant walks as it is told', () => {
    let [sum, n] = [0, 0]
    for (let run = 0; run < 300; run++) {
      const walk = 0.5
      const moved = corners.map(
        (c, i): Pair => [c, [c[0] + walk * normal(run, i, 2, 1), c[1] + walk * normal(run, i, 3, 1)], 1],
      )
      const truth = chained(step, fitMotion(homography, pairsOf(moved))?.matrix as Matrix3)
      const pairs = seen(truth, 0.15, run)
      const about = fitMotion(similarity, pairs)?.matrix as Matrix3
      const prior = carriedOver(placedStill(corners), about, walk ** 2)
      const fit = fitMotion(homography, pairs, undefined, prior ? [prior] : [])
      for (const p of [
        [800, 300],
        [520, 380],
        [1090, 210],
      ] as Place[]) {
        const [[x, y], [u, v]] = [at(fit?.matrix as Matrix3, ...p), at(truth, ...p)]
        sum += ((x - u) ** 2 + (y - v) ** 2) / 2 / (fit?.varianceAt(...p) as number)
        n++
      }
    }
    expect(sum / n).toBeGreaterThan(0.85)
    expect(sum / n).toBeLessThan(1.15)
  })
})
