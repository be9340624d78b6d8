import { describe, expect, it } from 'vitest'
import { clearTreatment, mergeFit, setTreatment } from './edit.js'
import { parseShot } from './index.js'

const empty = parseShot({ platefit: 1, plate: { file: 'p.mov' } }, 'test')
const LEVELS = 'sensor.grainLevels'
const VARIANCE = 'sensor.grainVariance'
const SHARE = 'sensor.grainCoarse'

/** Numbers set by hand one after the other, and the document opened. */
const opened = (...sets: (readonly [string, readonly number[]])[]) =>
  parseShot(
    sets.reduce((s, [name, value]) => setTreatment(s, 'plate', name, value), empty),
    'a.shot.json',
  )

/** The same with numbers that a fit wrote. */
function fitted(lists: Record<string, readonly number[]>) {
  const evidence = { kind: 'measured', frames: [0], method: 'm', confidence: 1 }
  const treatments = Object.fromEntries(Object.entries(lists).map(([n, value]) => [n, { value, evidence }]))
  return parseShot({ platefit: 1, plate: { file: 'p.mov', treatments } }, 'test')
}

describe('lists that hang on each other', () => {
  it('are as long as their parameters say', () => {
    const two = [LEVELS, [0.1, 0.5]] as const
    expect(() => opened(two, [VARIANCE, Array(6).fill(4e-4)])).not.toThrow()
    expect(() => opened(two, [VARIANCE, []])).not.toThrow()
    expect(() => opened(['sensor.grainCorrelation', Array(12).fill(0)])).not.toThrow()
    expect(() => opened(two, [VARIANCE, [4e-4, 4e-4, 4e-4]])).toThrow(/6: 3 for each .* which has 2.*clear/)
    expect(() => opened([VARIANCE, [4e-4, 4e-4, 4e-4]])).toThrow(/Set sensor.grainLevels first/)
    expect(() => opened(two, [SHARE, [0.5]])).toThrow('sensor.grainCoarse')
    expect(() => opened(['sensor.grainCorrelation', [0.9, 0.9]])).toThrow(/12, or none.*all 12/)
    expect(() => opened(['sensor.grainMix', [0.9]])).toThrow('sensor.grainMix')
  })

  it('ascend where they should', () => {
    expect(() => opened([LEVELS, [0.5, 0.1]])).toThrow('0.5, then 0.1')
    expect(() => opened([LEVELS, [0.1, 0.1]])).toThrow('do not ascend')
    expect(() => opened([LEVELS, [-0.01, 0, 0.3]])).not.toThrow()
  })

  it('stay in step when a fit finds other levels than a hand set', () => {
    const fit = fitted({
      [LEVELS]: [0.1, 0.2, 0.3],
      [VARIANCE]: Array(9).fill(1e-4),
      [SHARE]: Array(9).fill(0.1),
    })
    const hand = opened([LEVELS, [0.1, 0.5]], [VARIANCE, Array(6).fill(4e-4)])
    const merged = parseShot(mergeFit(hand, fit), 'test').plate.treatments
    expect(merged[VARIANCE]).toMatchObject({ value: Array(6).fill(4e-4) })
    expect(merged[SHARE]).toMatchObject({ cannotTell: expect.stringContaining('set by hand') })

    const mixed = setTreatment(fit, 'plate', VARIANCE, Array(9).fill(2e-4))
    const again = fitted({ [LEVELS]: [0.1, 0.2], [VARIANCE]: Array(6).fill(1e-4) })
    const kept = parseShot(mergeFit(mixed, again), 'test').plate.treatments
    expect(kept[LEVELS]).toMatchObject({ value: [0.1, 0.2, 0.3] })
    const free = mergeFit(clearTreatment(mixed, 'plate', VARIANCE), again)
    expect(free.plate.treatments).toEqual(again.plate.treatments)
  })
})
