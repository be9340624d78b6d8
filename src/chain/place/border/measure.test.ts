import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, uniform } from '../../../core/index.js'
import { borderContact, type Sides, screenContact, sidesContact } from './measure.js'

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

/** The same disc of skin before a screen, whose light falls off to a third towards the right, with noise. */
function onScreen(cx: number, cy: number, ground: readonly [number, number, number]): FloatImage {
  const image = disc(cx, cy, 100, 0.4, 1)
  for (let i = 0; i < image.data.length; i += 4) {
    const x = (i / 4) % 300
    const skin = image.data[i + 3] === 1
    const [r, g, b] = skin ? ([0.45, 0.25, 0.17] as const) : ground
    const light = skin ? 1 : 1 - (x / 300) * (2 / 3)
    for (const [c, v] of [r, g, b].entries())
      image.data[i + c] = v * light + 0.01 * (uniform(7, 0, x, Math.floor(i / 1200), c) - 0.5)
    image.data[i + 3] = 1
  }
  return image
}
const whole = (image: FloatImage): Sides => ({ top: image, right: image, bottom: image, left: image })
const chroma = (c: readonly [number, number, number]) => {
  const sum = c[0] + c[1] + c[2]
  return [c[0] / sum, c[1] / sum] as const
}

describe('before a key ground', () => {
  const screens = [
    ['green', [0.08, 0.5, 0.12]],
    ['yellow-green', [0.42, 0.5, 0.05]],
    ['blue', [0.05, 0.12, 0.5]],
  ] as const

  it.each(screens)('uneven %s touches nothing', (_, c) => {
    expect(screenContact(whole(onScreen(150, 120, c)), chroma(c))).toMatchObject({
      top: 0,
      right: 0,
      bottom: 0,
      left: 0,
      touches: false,
    })
  })

  it.each(screens)('who stands before %s is cut where the chord says', (_, c) => {
    const found = screenContact(whole(onScreen(150, 180, c)), chroma(c))
    expect(found.bottom).toBeCloseTo(160 / 300, 1)
    expect([found.top, found.left, found.right]).toEqual([0, 0, 0])
    expect(found.touches).toBe(true)
  })

  it('takes what is too dark to have a colour for something that stands there', () => {
    expect(screenContact(whole(disc(150, 120, 20, 0, 1)), chroma([0.1, 0.5, 0.1])).top).toBe(1)
  })
})

it('says of the sides alone what it says of the whole picture', () => {
  const image = disc(20, 180, 100, 0.4, 1)
  const part = (x0: number, y0: number, width: number, height: number): FloatImage => {
    const out = emptyImage({ x: x0, y: y0, width, height })
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const from = 4 * ((y0 + y) * 300 + x0 + x)
        out.data.set(image.data.subarray(from, from + 4), 4 * (y * width + x))
      }
    return out
  }
  const sides = {
    top: part(0, 0, 300, 3),
    right: part(297, 0, 3, 240),
    bottom: part(0, 237, 300, 3),
    left: part(0, 0, 3, 240),
  }
  expect(sidesContact(sides, { peak: 1 })).toEqual(borderContact(image))
})
