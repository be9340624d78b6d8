import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage } from '../../../core/index.js'
import { borderLevels, contactAt } from './levels.js'
import { borderContact } from './measure.js'

const W = 300
const H = 240

/** A disc of `light` and `alpha` on `floor`. */
function disc(cx: number, cy: number, r: number, light: number, alpha: number, floor = 0): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: W, height: H })
  for (let y = 0; y < H; y++) {
    for (let x = 0; x < W; x++) {
      const inside = Math.hypot(x + 0.5 - cx, y + 0.5 - cy) <= r
      const i = 4 * (y * W + x)
      image.data.fill(floor + (inside ? light : 0), i, i + 3)
      image.data[i + 3] = inside ? alpha : 0
    }
  }
  return image
}

function strips(image: FloatImage) {
  const cut = (x: number, y: number, width: number, height: number) => {
    const part = emptyImage({ x, y, width, height })
    for (let v = 0; v < height; v++)
      for (let u = 0; u < 4 * width; u++)
        part.data[4 * v * width + u] = image.data[4 * ((y + v) * W + x) + u] as number
    return part
  }
  return {
    top: cut(0, 0, W, 3),
    right: cut(W - 3, 0, 3, H),
    bottom: cut(0, H - 3, W, 3),
    left: cut(0, 0, 3, H),
  }
}

describe('border contact by levels', () => {
  it('is the chord that the side cuts', () => {
    // A circle of radius 100 about a point 60 above the lower side: half the chord is √(100² − 60²) = 80.
    const found = contactAt(borderLevels(strips(disc(150, 180, 100, 0.4, 1)), 'cover'), 0, 0.02, 1)
    expect(found.bottom).toBeCloseTo(160 / W, 1)
    expect([found.top, found.left, found.right]).toEqual([0, 0, 0])
    expect(found).toMatchObject({ strongest: 1, touches: true })
  })

  it('sees cover, light or both, as asked', () => {
    const glow = strips(disc(0, 120, 60, 0.3, 0))
    expect(contactAt(borderLevels(glow, 'cover'), 0, 0.02, 1).touches).toBe(false)
    expect(contactAt(borderLevels(glow, 'both'), 0, 0.02, 1).left).toBeCloseTo(0.5, 1)
    const smoke = strips(disc(300, 120, 60, 0, 0.5))
    expect(contactAt(borderLevels(smoke, 'light'), 0, 0.02, 1).touches).toBe(false)
    expect(contactAt(borderLevels(smoke, 'both'), 0, 0.02, 1).right).toBeCloseTo(0.5, 1)
  })

  it('looks past a floor', () => {
    const lifted = borderLevels(strips(disc(150, 120, 60, 0.5, 1, 0.03)), 'light')
    expect(contactAt(lifted, 0.03, 0.01, 0.5).touches).toBe(false)
    const cut = borderLevels(strips(disc(150, 0, 60, 0.5, 1, 0.03)), 'light')
    expect(contactAt(cut, 0.03, 0.01, 0.5)).toMatchObject({
      touches: true,
      left: 0,
      strongest: expect.closeTo(1, 5),
    })
  })

  it('agrees with the look at a whole picture', () => {
    for (const image of [disc(150, 180, 100, 0.4, 0.7), disc(0, 120, 60, 0.3, 0), disc(150, 120, 50, 1, 1)]) {
      const whole = borderContact(image)
      const byLevels = contactAt(borderLevels(strips(image), 'both'), 0, 0.02, 1)
      expect(byLevels).toEqual({ ...whole, strongest: expect.closeTo(whole.strongest, 5) })
    }
  })
})
