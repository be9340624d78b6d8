import { describe, expect, it } from 'vitest'
import { drifted } from './model.js'

/** A camera of 1920 px on 24 mm behind 35 mm, by hand: a pixel at 20 m is 24/1920/35·20 m = 7.142857 mm. */
const PX = (24 / 1920 / 35) * 20
const drift = { distanceM: 20, metresPerPixel: PX, middle: [960, 540] as const }
const from = { scaleX: 0.5, scaleY: 0.5, originX: 1100, originY: 300 }

/** Where a thin camera sees a point: x = f·X/Z in plate pixels, y down. */
const seen = (x: number, y: number, z: number) => [
  960 + (35 / 24) * 1920 * (x / z),
  540 - (35 / 24) * 1920 * (y / z),
]

describe('drift', () => {
  it('goes where a point with that speed in space is seen, and is as small as its distance makes it', () => {
    const [across, up, away] = [1.5, 0.8, 2]
    // The middle of a 400 × 200 picture, as a point 20 m away.
    const [x0, y0] = [(1100 + 100 - 960) * PX, -(300 + 50 - 540) * PX]
    for (const t of [0, 0.5, 3]) {
      const at = drifted(from, { ...drift, acrossMs: across, upMs: up, awayMs: away }, t, 400, 200)
      const [x, y] = seen(x0 + across * t, y0 + up * t, 20 + away * t)
      expect(at?.scaleX).toBeCloseTo((0.5 * 20) / (20 + away * t), 12)
      expect((at?.originX ?? 0) + 200 * (at?.scaleX ?? 0)).toBeCloseTo(x as number, 8)
      expect((at?.originY ?? 0) + 100 * (at?.scaleY ?? 0)).toBeCloseTo(y as number, 8)
    }
  })

  it('is not seen any more when it has come past the camera', () => {
    const towards = { ...drift, acrossMs: 0, upMs: 0, awayMs: -5 }
    expect(drifted(from, towards, 3.9, 400, 200)).toBeDefined()
    expect(drifted(from, towards, 4, 400, 200)).toBeUndefined()
  })
})
