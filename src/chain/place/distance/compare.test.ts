import { describe, expect, it } from 'vitest'
import { compareHorizon, compareSize } from './compare.js'
import { comparePerspective, filmedView, nearToFar } from './perspective.js'

const where = { name: 'smoke', frames: [0, 8], region: { x: 0, y: 0, width: 10, height: 10 } }

describe('wrong size for its distance', () => {
  const look = (drawnM: number, sd = 0.2) => ({
    ...where,
    drawnM,
    real: { value: 1.8, sd: 0 },
    distance: { metres: 10, sd, shared: 0 },
    confidence: 0.7,
  })

  it('speaks beyond a tenth', () => {
    expect(compareSize(look(1.9)).verdicts).toEqual([])
    expect(compareSize(look(1.65)).verdicts).toEqual([])
    const [large] = compareSize(look(2.34)).verdicts
    expect(large).toMatchObject({ tell: 'wrong-size', measured: 2.34, expected: 1.8 })
    expect(large?.sentence).toBe(
      'smoke is 30 % too large for where it stands: 2.34 m tall instead of 1.80 m.',
    )
    expect(compareSize(look(1.2)).verdicts[0]?.remedy).toMatch(/Scale it by 1.50/)
  })

  it('keeps silent within what is known of the distance', () => {
    // Two standard deviations are 40 %.
    expect(compareSize(look(2.34, 2)).verdicts).toEqual([])
  })
})

describe('wrong horizon', () => {
  const look = (filmed: number, plate: number, sd = 1) => ({
    ...where,
    filmedDeg: { value: filmed, sd },
    plateDeg: { value: plate, sd: 0.5 },
  })

  it('speaks beyond 10° apart, and beyond what is known', () => {
    expect(compareHorizon(look(-8, 1)).verdicts).toEqual([])
    expect(compareHorizon(look(-12, 2, 10)).verdicts).toEqual([])
    const [v] = compareHorizon(look(-12, 2)).verdicts
    expect(v?.sentence).toBe('smoke was filmed 12° from above; this plate looks at it 2° from below.')
    expect(v?.cause).toMatch(/14° above/)
  })
})

describe('perspective', () => {
  it('tells how it was filmed by height and distance, else by tilt', () => {
    // 3 m up over the middle of a thing of 2 m, 5 m away: atan(2/5) = 21.80° down.
    expect(filmedView({ heightM: 3, distanceM: 5, tiltDeg: -40 }, 2).elevationDeg).toBeCloseTo(-21.801, 3)
    expect(filmedView({ heightM: 3, tiltDeg: -12 }, 2).elevationDeg).toBe(-12)
    expect(filmedView({ heightM: 3 }).elevationDeg).toBeUndefined()
  })

  it('warns in words, beyond the limits alone', () => {
    const filmed = { elevationDeg: -12, nearToFar: nearToFar(2, 1) }
    const plate = { elevationDeg: 2, nearToFar: nearToFar(20, 1) }
    const found = comparePerspective(filmed, plate)
    expect(found.apartDeg).toBe(-14)
    // 2.5/1.5 against 20.5/19.5.
    expect(found.ratioApart).toBeCloseTo(1.6666667 / 1.0512821 - 1, 6)
    expect(found.warnings).toEqual([
      'filmed 12° from above, this plate looks at it 2° from below',
      'filmed from nearer: its depth is drawn too strong (its near side 67 % larger than its far side, here it should be 5 % larger than its far side)',
    ])
    expect(
      comparePerspective({ elevationDeg: -5, nearToFar: undefined }, { ...plate, elevationDeg: -1 }).warnings,
    ).toEqual([])
  })

  it('says nothing of what is not known, nor of a thing that would reach the lens', () => {
    const none = { elevationDeg: undefined, nearToFar: nearToFar(1, 2) }
    expect(comparePerspective(none, none)).toEqual({
      apartDeg: undefined,
      ratioApart: undefined,
      warnings: [],
    })
  })
})
