import { describe, expect, it } from 'vitest'
import type { Way2 } from '../slide/model.js'
import { type Change, compareHeld, compareSteps, type Step, stepsOf } from './compare.js'

const where = { name: 'crate', regionAt: () => ({ x: 0, y: 0, width: 10, height: 10 }) }
const steps = (placed: (n: number) => Way2, plate: (n: number) => Way2 = () => [0.7, 0.3]): Step[] =>
  Array.from({ length: 24 }, (_, n) => ({ frame: n + 1, placed: placed(n), plate: plate(n) }))

describe('where it is put', () => {
  it('names whole pixels while the plate goes by parts of them', () => {
    const [v] = compareSteps({ ...where, steps: steps((n) => [n % 3 === 0 ? 0 : 1, 0]) }).verdicts
    expect(v?.sentence).toMatch(/whole pixels/)
    // A plate that goes by whole pixels itself is followed rightly.
    const own: Way2 = [1, 0]
    expect(
      compareSteps({
        ...where,
        steps: steps(
          () => own,
          () => own,
        ),
      }).verdicts,
    ).toEqual([])
    expect(compareSteps({ ...where, steps: steps(() => [0.7, 0.3]) }).verdicts).toEqual([])
  })

  it('names a place that is set every third frame, and counts it', () => {
    const { verdicts, measured } = compareSteps({ ...where, steps: steps((n) => [n % 3 === 0 ? 2.1 : 0, 0]) })
    expect(verdicts[0]?.measured).toBeCloseTo(2 / 3, 12)
    expect(verdicts[0]?.cause).toMatch(/about every 3 frames/)
    expect(measured.stands?.[0]).toBeCloseTo(2 / 3, 12)
    expect(measured.groundGoes).toEqual([1])
    expect(measured.placeGoes?.[0]).toBeCloseTo(1 / 3, 12)
  })

  it('says nothing of one that stands on ground that stands', () => {
    const still: Way2 = [0, 0]
    const c = compareSteps({
      ...where,
      steps: steps(
        () => still,
        () => still,
      ),
    })
    expect(c.verdicts).toEqual([])
    expect(c.measured.stands).toEqual([0])
  })

  it('takes its steps from the ground and from what it is off by', () => {
    const way: Way2[] = [
      [0, 0],
      [2, 1],
      [4, 2],
    ]
    const off: Way2[] = [
      [0, 0],
      [-2, -1],
      [-1, 0],
    ]
    const ground = { way, off, spread: 0, growth: [1, 1, 1], growthSd: 0 }
    expect(stepsOf([{ frames: [5, 6, 7], grounds: [ground] }])).toEqual([
      { frame: 6, plate: [2, 1], placed: [0, 0] },
      { frame: 7, plate: [2, 1], placed: [3, 2] },
    ])
  })
})

describe('what it shows', () => {
  const changes = (changed: (n: number) => boolean, plate = true): Change[] =>
    Array.from({ length: 24 }, (_, n) => ({ frame: n, due: true, changed: changed(n), plateChanged: plate }))

  it('names pictures that are held twice, and no rest at the end', () => {
    const [v] = compareHeld({ ...where, changes: changes((n) => n % 2 === 0) }).verdicts
    expect(v?.measured).toBeCloseTo(0.5, 12)
    expect(compareHeld({ ...where, changes: changes((n) => n < 16) }).verdicts).toEqual([])
  })

  it('says nothing where the plate is held too', () => {
    expect(compareHeld({ ...where, changes: changes((n) => n % 2 === 0, false) }).verdicts).toEqual([])
  })
})
