import { expect, it } from 'vitest'
import { emptyImage } from '../../../core/index.js'
import { blurByField, fieldReach, scaledField } from './field.js'
import { gradientField } from './gradient.js'

const FIELD = gradientField([20, 0, -6, 120, 0, 6])
const frame = { x: 0, y: 0, width: 160, height: 60 }

function dotAt(x: number, field = FIELD) {
  const dot = emptyImage({ x, y: 30, width: 1, height: 1 })
  dot.data.set([1, 1, 1, 1])
  const wanted = fieldReach(field).touches(dot.region)
  return blurByField(dot, field, undefined, frame, wanted)
}

/** Variance along y, px². */
function tall({ region, data }: ReturnType<typeof dotAt>): number {
  let [sum, yy] = [0, 0]
  for (let row = 0, i = 0; row < region.height; row++)
    for (let column = 0; column < region.width; column++, i += 4) {
      sum += data[i] as number
      yy += (data[i] as number) * (region.y + row - 30) ** 2
    }
  return yy / sum
}

// A uniform disc of radius r has a variance of r²/4 along each axis, its pixel 1/12.
it.each([
  [10, 6],
  [20, 6],
  [95, 3],
  [120, 6],
])('blurs a point at %d px by the radius of that place, %d px', (x, radius) => {
  expect(Math.abs(tall(dotAt(x)) / (radius ** 2 / 4 + 1 / 12) - 1)).toBeLessThan(0.12)
  expect(Math.abs(tall(dotAt(x, scaledField(FIELD, 0.5))) / (radius ** 2 / 16 + 1 / 12) - 1)).toBeLessThan(
    0.12,
  )
})

it('leaves what stands in focus', () => {
  const { region, data } = dotAt(70)
  const own = 4 * ((30 - region.y) * region.width + 70 - region.x)
  expect(data[own]).toBeGreaterThan(0.9)
})
