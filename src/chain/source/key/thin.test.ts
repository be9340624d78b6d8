import { describe, expect, it } from 'vitest'
import { withoutThin } from './thin.js'

const SIZE = { width: 120, height: 80 }
const SIGMA = 0.01
const mask = (is: (x: number, y: number) => boolean) =>
  Uint8Array.from({ length: 9600 }, (_, p) => (is(p % 120, Math.floor(p / 120)) ? 1 : 0))
/** What of a screen right of x = 30 with these gains stays like it. */
function left(gain: (x: number, y: number) => number) {
  const like = mask((x) => x >= 30)
  const gains = Float32Array.from({ length: 9600 }, (_, p) => gain(p % 120, Math.floor(p / 120)))
  withoutThin(like, gains, SIZE, 1, SIGMA)
  return (x: number, y: number) => like[120 * y + x]
}

describe('black hairs before a screen', () => {
  const hair = (x: number, y: number) => (y === 40 && x < 80 ? 0.7 : 1)

  it('are none of it: a line a pixel wide that hangs on the subject', () => {
    const is = left(hair)
    expect([is(40, 40), is(70, 40)]).toEqual([0, 0])
    expect([is(40, 50), is(100, 40)]).toEqual([1, 1])
  })

  it('are told from a line that hangs on nothing', () => {
    const is = left((x, y) => (x > 50 ? hair(x, y) : 1))
    expect(is(65, 40)).toBe(1)
  })

  it('are told from a soft shadow', () => {
    // 30 % deep, σ 14 px, right at the subject.
    const is = left((x, y) => 1 - 0.3 * Math.exp(-((x - 45) ** 2 + (y - 40) ** 2) / 400))
    for (let x = 34; x < 110; x += 4) expect(is(x, 40)).toBe(1)
  })
})
