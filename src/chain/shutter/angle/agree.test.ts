import { describe, expect, it } from 'vitest'
import { type Reading, told } from '../../../core/index.js'
import { agreedAngle } from './agree.js'

const read = (value: number, spread = 2): Reading<number> => ({
  value,
  evidence: { kind: 'measured', frames: [3, 4], method: 'streaks', spread, confidence: 0.8 },
})
const none: Reading<number> = { cannotTell: 'too slow' }

describe('streaks of one shutter', () => {
  // By hand: means over both frames 180 and 184, equal weights; half their distance is their mean's own spread, 2.
  it('are one angle, no surer than the surest of them', () => {
    const both = agreedAngle([
      [read(170), read(190)],
      [read(184), read(184)],
    ])
    expect(both).toMatchObject({ value: 182, evidence: { spread: 2, frames: [3, 4] } })
    const alike = agreedAngle(Array.from({ length: 9 }, () => [read(180), read(180)] as const))
    expect(told(alike) && alike.evidence.kind === 'measured' && alike.evidence.spread).toBe(2)
  })

  it('are none where they do not agree, or where one place of one frame shows one', () => {
    const apart = agreedAngle([
      [read(90), read(90)],
      [read(180), read(180)],
      [read(300), read(300)],
    ])
    expect(apart).toEqual({ cannotTell: 'its streaks do not agree: 90° to 300°' })
    expect(told(agreedAngle([[read(180), none]]))).toBe(false)
    // Twice as long on the next frame: no motion of which the flow has seen the mean.
    expect(told(agreedAngle([[read(90), read(180)]]))).toBe(false)
    expect(agreedAngle([[none, none]])).toEqual(none)
  })
})
