import { describe, expect, it } from 'vitest'
import { emptyImage, told } from '../../../core/index.js'
import { measureGlare } from './measure.js'
import { PARTS } from './model.js'

const [WIDTH, HEIGHT] = [480, 360]

function picture(level: (x: number, y: number) => number) {
  const image = emptyImage({ x: 0, y: 0, width: WIDTH, height: HEIGHT })
  for (let y = 0; y < HEIGHT; y++)
    for (let x = 0; x < WIDTH; x++) {
      const v = Math.min(level(x + 0.5, y + 0.5), 1)
      image.data.set([v, v, v, 1], 4 * (y * WIDTH + x))
    }
  return image
}

/** A Gaussian of a disc, far from it: as if its light were in one point. */
const gauss = (r: number, s: number) => Math.exp(-(r * r) / (2 * s * s)) / (2 * Math.PI * s * s)

describe('glare off a plate', () => {
  it('is the skirt around a lamp in the dark', () => {
    const [share, width, radius] = [0.12, 10, 5]
    const light = Math.PI * radius ** 2
    const image = picture((x, y) => {
      const r = Math.hypot(x - 240, y - 180)
      const skirt = PARTS.reduce((sum, [w, part]) => sum + part * gauss(r, w * width), 0)
      const place = 0.002 * (1 + 0.2 * Math.sin(x / 17) * Math.cos(y / 23))
      return (r < radius ? 1 : 0) + ((share * light) / (1 - share)) * skirt + place
    })
    const found = measureGlare([{ frame: 0, image }], 1)
    if (!told(found)) throw new Error(found.cannotTell)
    expect(Math.abs(found.value.share - share)).toBeLessThan(2 * found.value.shareSpread)
    expect(Math.abs(found.value.width - width)).toBeLessThan(2 * found.value.widthSpread)
  })

  // A low sun: the brightest specks of a bright sky reach the end of the code, and the sky's own glow falls off around them.
  it('is not told from a speck of a glowing sky', () => {
    const image = picture((x, y) => {
      const r = Math.hypot(x - 240, y - 180)
      return r < 2.5 ? 1 : 0.8 * Math.exp(-r / 90) + 0.01 * Math.sin(12.9898 * x + 78.233 * y)
    })
    expect(measureGlare([{ frame: 0, image }], 1)).toHaveProperty('cannotTell')
  })
})
