import { expect, it } from 'vitest'
import { emptyImage } from '../../../core/index.js'
import { blurAlong, gradientReach } from './gradient.js'

const G = [20, 0, -6, 120, 0, 6] as const

// A uniform disc of radius r has a variance of r²/4 along each axis, its pixel 1/12.
it.each([
  [10, 6],
  [20, 6],
  [95, 3],
  [120, 6],
])('blurs a point at %d px by the radius of that place, %d px', (x, radius) => {
  const dot = emptyImage({ x, y: 30, width: 1, height: 1 })
  dot.data.set([1, 1, 1, 1])
  const { region, data } = blurAlong(dot, G)
  let [sum, yy] = [0, 0]
  for (let row = 0, i = 0; row < region.height; row++)
    for (let column = 0; column < region.width; column++, i += 4) {
      sum += data[i] as number
      yy += (data[i] as number) * (region.y + row - 30) ** 2
    }
  expect(Math.abs(yy / sum / (radius ** 2 / 4 + 1 / 12) - 1)).toBeLessThan(0.12)
  expect(gradientReach(G).touches(dot.region)).toEqual(region)
})

it('leaves what stands in focus', () => {
  const dot = emptyImage({ x: 70, y: 30, width: 1, height: 1 })
  dot.data.set([1, 1, 1, 1])
  const { region, data } = blurAlong(dot, G)
  const own = 4 * ((30 - region.y) * region.width + 70 - region.x)
  expect(data[own]).toBeGreaterThan(0.9)
})
