import { describe, expect, it } from 'vitest'
import { emptyImage, type Region, uniform } from '../../core/index.js'
import { blockStats } from './blocks.js'

function noisy(region: Region, sigma: number, smooth = false) {
  const image = emptyImage(region)
  const white = (x: number, y: number, c: number) => {
    let sum = -6 // Irwin–Hall: twelve uniforms have variance 1.
    for (let k = 0; k < 12; k++) sum += uniform(9, k, x, y, c)
    return sum
  }
  for (let j = 0, o = 0; j < region.height; j++) {
    for (let i = 0; i < region.width; i++, o += 4) {
      const x = region.x + i
      const y = region.y + j
      for (let c = 0; c < 3; c++) {
        const n = smooth ? (white(x, y, c) + white(x + 1, y, c)) / Math.SQRT2 : white(x, y, c)
        image.data[o + c] = 0.2 * (c + 1) + 0.01 * x - 0.02 * y + sigma * n
      }
    }
  }
  return image
}

const average = (v: readonly number[]) => v.reduce((a, b) => a + b, 0) / v.length

describe('blockStats', () => {
  it('takes off the slope and finds the variance, with the lag of a moving pair: ½ along x, 0 along y', () => {
    const blocks = blockStats(noisy({ x: 0, y: 0, width: 512, height: 256 }, 0.05, true), 32)
    expect(blocks).toHaveLength(128)
    for (let c = 0; c < 3; c++) {
      expect(Math.abs(average(blocks.map((b) => b.variance[c])) / 0.0025 - 1)).toBeLessThan(0.03)
      // Theory: a half-pixel bilinear shift leaves lag 1 at one half.
      expect(Math.abs(average(blocks.map((b) => b.lagX[c])) - 0.5)).toBeLessThan(0.02)
      expect(Math.abs(average(blocks.map((b) => b.lagY[c])))).toBeLessThan(0.02)
    }
    expect(blocks[1].x).toBe(32)
    expect(blocks[0].mean[1]).toBeCloseTo(0.4 + 0.155 - 0.31, 1)
  })

  it('sees nothing on a pure plane', () => {
    const [block] = blockStats(noisy({ x: 0, y: 0, width: 8, height: 8 }, 0), 8)
    for (const v of block.variance) expect(v).toBeLessThan(1e-14)
  })

  it('anchors its grid at the frame and gives the same numbers in any region', () => {
    const whole = blockStats(noisy({ x: 0, y: 0, width: 40, height: 40 }, 0.1), 8)
    const part = blockStats(noisy({ x: 5, y: 9, width: 30, height: 20 }, 0.1), 8)
    expect(part.map((b) => [b.x, b.y])).toEqual([
      [8, 16],
      [16, 16],
      [24, 16],
    ])
    expect(part[1]).toEqual(whole.find((b) => b.x === 16 && b.y === 16))
  })

  it('has no block in a picture smaller than one, NaN in NaN, and refuses a size of 2', () => {
    const image = noisy({ x: 0, y: 0, width: 7, height: 9 }, 1)
    expect(blockStats(image, 8)).toEqual([])
    image.data[0] = Number.NaN
    expect(blockStats(image, 5)[0].variance[0]).toBeNaN()
    expect(blockStats(image, 5)[0].variance[1]).toBeGreaterThan(0)
    expect(() => blockStats(image, 2)).toThrow('more pixels')
  })
})
