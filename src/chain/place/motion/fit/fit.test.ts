import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { normal } from '../../../../../test/worlds/chance.js'
import { at, type Matrix3, type Place } from '../matrix.js'
import { fitMotion, type Lens } from './fit.js'
import { affine, homography, MODELS, type Model, rotation, similarity, translation } from './models.js'
import { type Pair, pairsOf } from './pairs.js'

const cloud = (n: number, seed = 1): Place[] =>
  Array.from({ length: n }, (_, i) => [
    960 + 500 * Math.sin(seed + 12.9 * i * i + i),
    540 + 300 * Math.cos(seed + 7.3 * i * i + 3 * i),
  ])
const carriedBy = (m: Matrix3, places: readonly Place[]): Pair[] => places.map((p) => [p, at(m, ...p), 0.1])

const turn: Matrix3 = [1.02, -0.07, 30, 0.07, 1.02, -12, 0, 0, 1]

/** H = K·R·K⁻¹ for a turn by `angle` (rad) about the axis down, multiplied out in loops. */
function panned(angle: number, f: number, [cx, cy]: Place): Matrix3 {
  const [c, s] = [Math.cos(angle), Math.sin(angle)]
  const times = (a: number[], b: number[]) =>
    a.map((_, i) =>
      [0, 1, 2].reduce(
        (sum, k) => sum + (a[3 * Math.floor(i / 3) + k] as number) * (b[3 * k + (i % 3)] as number),
        0,
      ),
    )
  const h = times(times([f, 0, cx, 0, f, cy, 0, 0, 1], [c, 0, s, 0, 1, 0, -s, 0, c]), [
    1 / f,
    0,
    -cx / f,
    0,
    1 / f,
    -cy / f,
    0,
    0,
    1,
  ])
  return h.map((v) => v / (h[8] as number)) as unknown as Matrix3
}

describe('fitting a motion', () => {
  it('is the homography that OpenCV gives for four corners (cv2.getPerspectiveTransform)', () => {
    const from: Place[] = [
      [0, 0],
      [1920, 0],
      [1920, 1080],
      [0, 1080],
    ]
    const to: Place[] = [
      [100, 50],
      [1800, 120],
      [1700, 1000],
      [200, 900],
    ]
    const fit = fitMotion(homography, pairsOf(from.map((f, i) => [f, to[i] as Place, 1])))
    const expected = [0.839599, 0.11668059, 100, 0.03340382, 0.89543303, 50, -2.545e-5, 1.2044e-4, 1]
    const digits = [6, 8, 6, 8, 8, 6, 8, 8, 12]
    fit?.matrix.forEach((v, i) => {
      expect(v).toBeCloseTo(expected[i] as number, digits[i])
    })
    const [x, y] = at(fit?.matrix as Matrix3, 960, 540)
    expect(Math.abs(x - 931.2139)).toBeLessThan(1e-4)
    expect(Math.abs(y - 543.5333)).toBeLessThan(1e-4)
    // The middle goes to where the diagonals cross: 898.75 / 1730 of the way from the first corner to the third.
    const s = 898.75 / 1730
    expect([x, y]).toEqual([expect.closeTo(100 + 1600 * s, 9), expect.closeTo(50 + 950 * s, 9)])
  })

  it('gives back what carried the points, whatever the kind', () => {
    const lens: Lens = { middle: [960, 540], focalPx: 1400 }
    const cases: [Model, Matrix3][] = [
      [translation, [1, 0, -3.25, 0, 1, 8.5, 0, 0, 1]],
      [similarity, turn],
      [affine, [1.1, 0.2, 5, -0.1, 0.9, 3, 0, 0, 1]],
      [homography, [0.9, 0.05, 40, -0.02, 1.1, -9, 3e-5, -6e-5, 1]],
      [rotation, panned(0.3, 1400, [960, 540])],
    ]
    for (const [model, m] of cases) {
      const fit = fitMotion(model, pairsOf(carriedBy(m, cloud(9))), lens)
      for (const p of cloud(20, 5)) {
        const [[x, y], [u, v]] = [at(fit?.matrix as Matrix3, ...p), at(m, ...p)]
        expect(Math.abs(x - u) + Math.abs(y - v), model.name).toBeLessThan(1e-8)
      }
      expect(fit?.degrees).toBe(18 - model.free)
    }
  })

  it('is where the sum of squares is least: no step aside makes it less', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e6 }),
        fc.constantFrom(translation, similarity, affine, homography),
        (seed, model) => {
          const pairs: Pair[] = cloud(12, seed).map((p, i) => {
            const [x, y] = at(turn, ...p)
            return [p, [x + normal(seed, i), y + normal(seed, i, 1)], 0.5 + (i % 3)]
          })
          const fit = fitMotion(model, pairsOf(pairs)) as { matrix: Matrix3; chi2: number }
          const chi2 = (m: Matrix3) =>
            pairs.reduce((sum, [f, t, s]) => {
              const [x, y] = at(m, ...f)
              return sum + ((x - t[0]) ** 2 + (y - t[1]) ** 2) / (s * s)
            }, 0)
          expect(chi2(fit.matrix)).toBeCloseTo(fit.chi2, 6)
          const free = {
            translation: [2, 5],
            rotation: [],
            similarity: [2, 5],
            affine: [0, 1, 2, 3, 4, 5],
            homography: [0, 1, 2, 3, 4, 5, 6, 7],
          }[model.name]
          for (const i of free) {
            for (const way of [-1, 1]) {
              const size = i > 5 ? 1e-9 : i % 3 === 2 ? 1e-3 : 1e-6
              const aside = fit.matrix.map((v, j) => (j === i ? v + way * size : v)) as unknown as Matrix3
              expect(chi2(aside)).toBeGreaterThan(fit.chi2 * (1 - 1e-12))
            }
          }
        },
      ),
      { numRuns: 40 },
    )
  })

  it('says how well a place is known: errors of 600 runs against the variance, at the points and outside', () => {
    const lens: Lens = { middle: [960, 540], focalPx: 1400 }
    const truths: Record<Model['name'], Matrix3> = {
      translation: [1, 0, 4, 0, 1, -2, 0, 0, 1],
      rotation: panned(0.1, 1400, [960, 540]),
      similarity: turn,
      affine: [1.1, 0.2, 5, -0.1, 0.9, 3, 0, 0, 1],
      homography: [0.95, 0.03, 40, -0.02, 1.1, -9, 3e-5, -6e-5, 1],
    }
    const places = cloud(10)
    for (const model of Object.values(MODELS)) {
      const m = truths[model.name]
      for (const at2 of [places[0], [300, 200]] as Place[]) {
        let sum = 0
        const runs = 600
        for (let run = 0; run < runs; run++) {
          const pairs: Pair[] = places.map((p, i) => {
            const [x, y] = at(m, ...p)
            const s = i % 2 ? 0.3 : 0.6
            return [p, [x + s * normal(run, i, 1, 7), y + s * normal(run, i, 2, 7)], s]
          })
          const fit = fitMotion(model, pairsOf(pairs), lens) as NonNullable<ReturnType<typeof fitMotion>>
          const [[x, y], [u, v]] = [at(fit.matrix, ...at2), at(m, ...at2)]
          sum += ((x - u) ** 2 + (y - v) ** 2) / 2 / fit.varianceAt(...at2)
        }
        // Mean of 1,200 squares (not all independent): 1 within 4 standard errors of √(2/600).
        expect(Math.abs(sum / runs - 1), `${model.name} ${at2}`).toBeLessThan(4 * Math.sqrt(2 / runs))
      }
    }
  })

  it('tells nothing of points that do not settle it', () => {
    const line: Place[] = [0, 1, 2, 3, 4].map((i) => [100 + 50 * i, 200 + 20 * i])
    expect(fitMotion(affine, pairsOf(carriedBy(turn, line)))).toBeUndefined()
    expect(fitMotion(homography, pairsOf(carriedBy(turn, [...line.slice(0, 3), [500, 900]])))).toBeUndefined()
    expect(
      fitMotion(
        similarity,
        pairsOf(
          carriedBy(turn, [
            [5, 5],
            [5, 5],
          ]),
        ),
      ),
    ).toBeUndefined()
    expect(fitMotion(homography, pairsOf(carriedBy(turn, cloud(3))))).toBeUndefined()
    expect(fitMotion(rotation, pairsOf(carriedBy(turn, cloud(5))))).toBeUndefined()
  })
})
