import { expect, it } from 'vitest'
import { openVision } from '../../vision/index.js'
import { findPlaces } from './find.js'

it('nothing is found outside the picture, in bounds of any size', async () => {
  const vision = await openVision()
  const [width, height] = [64, 48]
  const data = Float32Array.from({ length: width * height }, (_, i) => ((i * 7919) % 251) / 251)
  const luma = { width, height, data, step: 1 } as Parameters<typeof findPlaces>[1]
  for (const bounds of [
    { x: 70, y: 5, width: 20, height: 20 },
    { x: -40, y: -40, width: 30, height: 30 },
    { x: 10, y: 48, width: 1e9, height: 1e9 },
  ])
    expect(findPlaces(vision, luma, 0, bounds, () => true)).toEqual([])
})
