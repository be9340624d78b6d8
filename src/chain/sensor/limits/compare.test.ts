import { describe, expect, it } from 'vitest'
import { emptyImage, type Rgb, uniform } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { compareLimits, lookAtLimits } from './compare.js'

const frame = { x: 0, y: 0, width: 200, height: 120 }
const CLIP: Rgb = [0.9, 0.8, Number.POSITIVE_INFINITY]

/** A soft flame over a dark plate, each channel cut at its own end. */
function looks(peak: number, ends: Rgb, emits: boolean) {
  const [plate, rendered] = [emptyImage(frame), emptyImage(frame)]
  const light = new Float32Array(frame.width * frame.height)
  for (let p = 0; p < light.length; p++) {
    const [x, y] = [p % frame.width, Math.floor(p / frame.width)]
    light[p] = peak * Math.exp(-((x - 100) ** 2 + (y - 60) ** 2) / 500)
    for (const c of [0, 1, 2] as const) {
      const noise = 0.004 * (uniform(8, 0, x, y, c) - 0.5)
      plate.data[4 * p + c] = 0.1
      rendered.data[4 * p + c] = Math.min(0.1 + (light[p] as number) * [1, 0.6, 0.2][c]! + noise, ends[c])
    }
  }
  const seen = { frame: 2, plate, rendered, renderedCode: rendered } as unknown as Seen
  const e = { alpha: new Float32Array(light.length), light } as unknown as SeenElement
  return compareLimits('fire', [lookAtLimits(seen, e, CLIP, emits)], CLIP, undefined).verdicts
}

describe('where the sensor ends', () => {
  it('an element that burns out as the plate does is quiet, and one that nowhere fills', () => {
    expect(looks(3, CLIP, true)).toEqual([])
    expect(looks(0.5, [9, 9, 9], true)).toEqual([])
  })

  it('an element brighter than the sensor holds is told, with how far', () => {
    const [v] = looks(3, [9, 9, 9], true)
    expect(v).toMatchObject({ tell: 'beyond-clip', frames: [2], expected: 0.9 })
    expect(v?.measured).toBeGreaterThan(0.9 * 1.05)
    expect(v?.sentence).toMatch(/red/)
    // Half of what lies above a level e of a Gaussian of peak a lies above √(a e), areas going with the logarithm: 0.1 + √(3 · 0.845).
    expect(Math.abs((v?.measured as number) - 1.69)).toBeLessThan(0.05)
  })

  it('an emitter that is cut below the plate’s own end is told; what is flat by itself is not', () => {
    const [v] = looks(3, [0.5, 0.45, 0.5], true)
    expect(v?.tell).toBe('early-clip')
    expect(v?.measured).toBeCloseTo(0.5, 2)
    expect(v?.sentence).toMatch(/0\.8 stops/)
    expect(looks(3, [0.5, 0.45, 0.5], false)).toEqual([])
  })

  it('cannot tell where the plate shows no end', () => {
    expect(compareLimits('fire', [], CLIP, 'it thins out').undecided[0]?.why).toBe('it thins out')
  })
})
