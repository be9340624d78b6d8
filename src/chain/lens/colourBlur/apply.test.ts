import { expect, it } from 'vitest'
import { emptyImage } from '../../../core/index.js'
import { discBlur } from '../../../kernels/index.js'
import { blurByColour, widest } from './apply.js'

// A disc of radius r has a variance of r²/4 along an axis; a pixel's own square adds 1/12.
it('blurs each colour, and what covers it, into a disc of its own', () => {
  const dot = emptyImage({ x: 40, y: 30, width: 1, height: 1 })
  dot.data.set([1, 1, 1, 1])
  const radius = 6
  const blur = (factor: number) => discBlur(dot, factor * radius)
  const { image, coverage } = blurByColour([1.5, 0.5], blur)
  expect(radius * widest([1.5, 0.5])).toBe(9)
  for (const picture of [image, coverage ?? image]) {
    for (const [c, factor] of [1.5, 1, 0.5].entries()) {
      let [sum, xx] = [0, 0]
      picture.data.forEach((v, i) => {
        if (i % 4 !== c) return
        const x = picture.region.x + ((i >> 2) % picture.region.width) - 40
        sum += v
        xx += v * x * x
      })
      expect(sum).toBeCloseTo(1, 4)
      expect(Math.abs(xx / sum / ((factor * radius) ** 2 / 4 + 1 / 12) - 1)).toBeLessThan(0.02)
    }
  }
  expect(blurByColour([1, 1], blur).coverage).toBeUndefined()
})
