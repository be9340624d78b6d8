import { describe, expect, it } from 'vitest'
import { allocateFrame, EMPTY, type PixelLayout } from '../../../core/index.js'
import { alphaSupport } from './support.js'

const layout: PixelLayout = { family: 'rgb', bits: 12, float: false, subX: 0, subY: 0, alpha: true }
const whole = { x: 0, y: 0, width: 8, height: 6 }

function withAlphaAt(...points: (readonly [number, number])[]) {
  const frame = allocateFrame(layout, 8, 6)
  for (const [x, y] of points) frame.planes[3]?.data.set([1], 8 * y + x)
  return frame
}

describe('where straight alpha leaves anything', () => {
  it('is the smallest box around what covers', () => {
    const frame = withAlphaAt([5, 1], [2, 3], [4, 4])
    expect(alphaSupport(frame, 'straight', whole)).toEqual({ x: 2, y: 1, width: 4, height: 4 })
  })

  it('is looked for in the part that is asked for alone', () => {
    const frame = withAlphaAt([5, 1], [2, 3], [4, 4])
    const part = { x: 3, y: 2, width: 5, height: 4 }
    expect(alphaSupport(frame, 'straight', part)).toEqual({ x: 4, y: 4, width: 1, height: 1 })
  })

  it('is nothing where nothing covers', () => {
    expect(alphaSupport(withAlphaAt(), 'straight', whole)).toEqual(EMPTY)
  })

  it('is everything for kinds that hold light without coverage', () => {
    expect(alphaSupport(withAlphaAt(), 'premultiplied', whole)).toEqual(whole)
    expect(alphaSupport(withAlphaAt(), 'on-black', whole)).toEqual(whole)
  })
})
