import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, uniform } from '../../../core/index.js'
import { borderContact } from './measure.js'

/** A disc of `light` and `alpha`; the share of a side that it crosses follows by Pythagoras. */
function disc(cx: number, cy: number, r: number, light: number, alpha: number): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: 300, height: 240 })
  for (let y = 0; y < 240; y++) {
    for (let x = 0; x < 300; x++) {
      if (Math.hypot(x + 0.5 - cx, y + 0.5 - cy) > r) continue
      const i = 4 * (y * 300 + x)
      image.data.fill(light, i, i + 3)
      image.data[i + 3] = alpha
    }
  }
  return image
}

describe('border contact', () => {
  it('of an element inside its frame is none', () => {
    expect(borderContact(disc(150, 120, 100, 0.4, 1))).toEqual({
      top: 0,
      right: 0,
      bottom: 0,
      left: 0,
      strongest: 0,
      touches: false,
    })
  })

  it('is the chord that the side cuts', () => {
    // A circle of radius 100 about a point 60 above the lower side: half the chord is √(100² − 60²) = 80.
    const found = borderContact(disc(150, 180, 100, 0.4, 1))
    expect(found.bottom).toBeCloseTo(160 / 300, 1)
    expect([found.top, found.left, found.right]).toEqual([0, 0, 0])
    expect(found.strongest).toBeCloseTo(1, 5)
    expect(found.touches).toBe(true)
  })

  it('counts a glow without cover, and dark smoke without light', () => {
    expect(borderContact(disc(0, 120, 60, 0.3, 0)).left).toBeCloseTo(0.5, 1)
    expect(borderContact(disc(300, 120, 60, 0, 0.5)).right).toBeCloseTo(0.5, 1)
  })

  it('on black looks past the floor, its noise and an opaque alpha', () => {
    const image = disc(150, 120, 60, 0.5, 1)
    for (let p = 0; p < 300 * 240; p++) {
      for (let c = 0; c < 3; c++)
        image.data[4 * p + c] =
          (image.data[4 * p + c] as number) + 0.03 + 0.02 * (uniform(3, 0, p, 0, c) - 0.5)
      image.data[4 * p + 3] = 1
    }
    const noise = 0.02 / Math.sqrt(12)
    const o = { floor: [0.03, 0.03, 0.03], noise: [noise, noise, noise], onBlack: true } as const
    expect(borderContact(image, o).touches).toBe(false)
    expect(borderContact(disc(150, 0, 60, 0.01, 1), { onBlack: true })).toMatchObject({
      touches: true,
      left: 0,
    })
  })
})
