import { describe, expect, it } from 'vitest'
import type { Rgb } from '../../../core/index.js'
import { compareHaze } from './compare.js'

const grey = (v: number): Rgb => [v, v, v]
/** I = J t + A (1 − t) [koschmieder1924]: J .05, A .4; t .6 lies before the element. */
const shown = (t: number) => grey(0.05 * t + 0.4 * (1 - t))
const look = (black: Rgb, clear: Rgb | 'unknown' = grey(0.05), t = 0.6) =>
  compareHaze({
    name: 'smoke',
    frames: [0],
    region: { x: 0, y: 0, width: 9, height: 9 },
    black,
    clear: clear === 'unknown' ? undefined : clear,
    transmittance: grey(t),
    airlight: grey(0.4),
    distanceM: 65,
  })

describe('haze before an element', () => {
  it('is quiet where the air is there, or nearly, or more than that', () => {
    for (const t of [0.6, 0.65, 0.3]) expect(look(shown(t)).verdicts).toEqual([])
  })

  it('speaks where none or half of it is there, and says how much it found', () => {
    for (const t of [1, 0.8]) {
      const [v] = look(shown(t)).verdicts
      expect(v?.tell).toBe('haze')
      expect(v?.measured).toBeCloseTo(1 - t, 9)
      expect(v?.expected).toBeCloseTo(0.4, 9)
    }
  })

  it('takes an unknown black for none: only what is darker than the air itself is told', () => {
    expect(look(grey(0.12), 'unknown').verdicts).toEqual([])
    expect(look(grey(0.05), 'unknown').verdicts).toHaveLength(1)
  })

  it('is quiet about air that nobody would miss', () => {
    expect(look(grey(0.05), grey(0.05), 0.98).verdicts).toEqual([])
  })

  it('cannot tell without the air or a black', () => {
    const base = { name: 's', frames: [0], region: { x: 0, y: 0, width: 1, height: 1 }, distanceM: undefined }
    const none = { ...base, clear: undefined, airlight: undefined, transmittance: undefined, black: grey(0) }
    expect(compareHaze(none).undecided.map((u) => u.tell)).toEqual(['haze'])
    const dark = { ...none, airlight: grey(0.4), transmittance: grey(0.6), black: undefined }
    expect(compareHaze(dark).undecided.map((u) => u.tell)).toEqual(['haze'])
  })
})
