import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, told, uniform } from '../../../core/index.js'
import { ambientOfCard } from './measure.js'

const region = { x: 16, y: 16, width: 32, height: 32 }

/** A card of one colour before a dark ground, with noise of 1 %. */
function card(...rgb: number[]): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: 64, height: 64 })
  for (let p = 0; p < 64 * 64; p++) {
    const inside = p % 64 >= 16 && p % 64 < 48 && p >= 16 * 64 && p < 48 * 64
    for (const c of [0, 1, 2])
      image.data[4 * p + c] =
        (inside ? (rgb[c] as number) : 0.01) * (1 + 0.03 * (uniform(3, 0, p, 0, c) - 0.5))
    image.data[4 * p + 3] = 1
  }
  return image
}

describe('light of the place', () => {
  // Lambert: a matt card of reflectance ρ under irradiance E shows ρE/π; a white one E/π.
  it('is the card over its reflectance, the same from either half', () => {
    for (const half of ['even', 'odd'] as const) {
      const m = ambientOfCard(card(0.036, 0.045, 0.054), 0, region, 0.18, 1, half)
      expect(told(m)).toBe(true)
      if (told(m)) for (const c of [0, 1, 2]) expect(m.value[c]).toBeCloseTo([0.2, 0.25, 0.3][c] as number, 3)
    }
  })

  it('cannot tell from a card that is clipped, black, tiny, outside or half shaded', () => {
    const say = (image: FloatImage, r = region) => {
      const m = ambientOfCard(image, 0, r, 0.18, 1, 'both')
      return told(m) ? m.value : m.cannotTell
    }
    expect(say(card(1, 0.9, 0.8))).toBe('the grey card is clipped')
    expect(say(card(0, 0, 0))).toBe('the grey card is black')
    expect(say(card(0.1, 0.1, 0.1), { ...region, width: 6 })).toMatch(/too small/)
    expect(say(card(0.1, 0.1, 0.1), { ...region, x: 400 })).toMatch(/outside/)
    expect(say(card(0.1, 0.1, 0.1), { ...region, x: 40 })).toMatch(/outside/)
    expect(say(card(0.1, 0.1, 0.1), { ...region, y: 32 })).toMatch(/uneven/)
  })
})
