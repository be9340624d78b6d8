import { describe, expect, it } from 'vitest'
import { circleOfConfusion, radiusPx } from './model.js'

describe('circle of confusion', () => {
  const lens = { focalLengthMm: 50, fNumber: 2.8, focusM: 3 }

  // Thin-lens formula [potmesil1981], worked by hand: 0.121065 mm, 12.914 px on 36 mm and 3840 px.
  it('equals the worked examples', () => {
    expect(circleOfConfusion(lens, 5)).toBeCloseTo(0.121065, 6)
    expect(2 * radiusPx(circleOfConfusion(lens, 5), 36, 3840)).toBeCloseTo(12.914, 3)
    expect(circleOfConfusion(lens, Number.POSITIVE_INFINITY)).toBeCloseTo(0.302663, 6)
    expect(circleOfConfusion({ focalLengthMm: 50, fNumber: 2, focusM: 2 }, 4)).toBeCloseTo(0.32051, 5)
  })

  // Depth of field, 50 mm f/8 c = 0.03 mm focused at 5 m: near 3.3894 m, far 9.5274 m (thin-lens limits).
  it('is the permitted circle at both limits of the depth of field', () => {
    const f8 = { focalLengthMm: 50, fNumber: 8, focusM: 5 }
    expect(circleOfConfusion(f8, 3.3894)).toBeCloseTo(0.03, 4)
    expect(circleOfConfusion(f8, 9.5274)).toBeCloseTo(0.03, 4)
  })

  it('is nothing in the plane of focus, and refuses a focus inside the focal length', () => {
    expect(circleOfConfusion(lens, 3)).toBe(0)
    expect(() => circleOfConfusion({ ...lens, focusM: 0.05 }, 1)).toThrow(/focal length/)
  })
})
