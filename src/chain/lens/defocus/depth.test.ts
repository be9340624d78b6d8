import { expect, it } from 'vitest'
import { depthField } from './depth.js'
import { circleOfConfusion, radiusPx } from './model.js'

// A thin lens of 50 mm at f/2, 36 mm wide, in focus at 2 m: [pharr2023 §5.2.3] by hand: c = |d − s| / d · f² / (N (s − f)).
it('has the radius of the circle of confusion at every distance, nearer ones below 0', () => {
  const [f, n, s] = [0.05, 2, 2]
  const toPx = (metres: number) => (metres / 0.036) * 1920
  const endlessPx = toPx(f ** 2 / (2 * n * (s - f)))
  const { at, most } = depthField({ focusM: s, endlessPx }, { at: (x) => x, nearestM: 1 })
  for (const d of [1, 1.5, 2, 4, 20]) {
    const c = (Math.abs(d - s) / d) * (f ** 2 / (n * (s - f)))
    expect(at(d, 0)).toBeCloseTo(Math.sign(d - s) * toPx(c / 2), 9)
  }
  expect(most).toBeCloseTo(Math.abs(at(1, 0)), 9)
  for (const none of [Number.NaN, 0, -3, Number.POSITIVE_INFINITY]) expect(at(none, 0)).toBe(endlessPx)
  const lens = { focalLengthMm: 50, fNumber: 2, focusM: 2 }
  expect(radiusPx(circleOfConfusion(lens, 4), 36, 1920)).toBeCloseTo(at(4, 0), 2)
})
