import { expect, it } from 'vitest'
import type { PixelLayout } from '../../core/index.js'
import { chromaRegion } from './chromaRegion.js'

const layout = (sub: 0 | 1): PixelLayout => ({
  family: 'yuv',
  bits: 10,
  float: false,
  subX: sub,
  subY: sub,
  alpha: false,
})

it('the chroma of a region: aligned, or to the frame’s border', () => {
  expect(chromaRegion({ x: 2, y: 2, width: 10, height: 8 }, layout(1), 12, 12)).toEqual({
    x: 1,
    y: 1,
    width: 5,
    height: 4,
  })
  expect(chromaRegion({ x: 2, y: 0, width: 3, height: 5 }, layout(1), 5, 5)).toEqual({
    x: 1,
    y: 0,
    width: 2,
    height: 3,
  })
  const cut = { x: 1, y: 0, width: 2, height: 2 }
  expect(() => chromaRegion(cut, layout(1), 8, 8)).toThrow('cuts through chroma')
  expect(chromaRegion(cut, layout(0), 8, 8)).toEqual(cut)
  expect(() => chromaRegion(cut, layout(0), 2, 2)).toThrow('does not lie in the frame')
})
