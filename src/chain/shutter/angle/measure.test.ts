import { expect, it } from 'vitest'
import { told, uniform } from '../../../core/index.js'
import { measureAngle } from './measure.js'

const [W, H] = [360, 240]
const region = { x: 0, y: 0, width: W, height: H }
const moving = { x: 60, y: 0, spread: 0.1 }

/** White noise walked along rows by a box: a scene of unit slope (a running sum in both directions) smeared over L px. */
function smeared(L: number, noise: number): Float64Array {
  const wide = W + L
  const sharp = new Float64Array(wide * H)
  for (let y = 0; y < H; y++) {
    for (let x = 0; x < wide; x++) {
      const p = y * wide + x
      const [left, above, both] = [x > 0 ? sharp[p - 1]! : 0, y > 0 ? sharp[p - wide]! : 0, 0.93]
      const corner = x > 0 && y > 0 ? sharp[p - wide - 1]! : 0
      sharp[p] = both * (left + above) - both * both * corner + uniform(3, 0, x, y, 0) - 0.5
    }
  }
  return Float64Array.from({ length: W * H }, (_, p) => {
    let sum = 0
    for (let k = 0; k < L; k++) sum += sharp[Math.floor(p / W) * wide + (p % W) + k]! / L
    return sum + noise * (uniform(4, 0, p, 0, 0) - 0.5)
  })
}

// 24 px of 60: 24 / 60 · 360 = 144°, by the definition of the angle.
it('tells the angle of a streak that was put in by hand', () => {
  const read = measureAngle({ ...region, values: smeared(24, 0.01) }, moving, 0, region)
  expect(told(read) && Math.abs(read.value - 144)).toBeLessThan(5)
})

it('cannot tell where it goes too slowly, where nothing is smeared, and where there is nothing but noise', () => {
  const values = smeared(24, 0.01)
  expect(measureAngle({ ...region, values }, { x: 5, y: 2, spread: 0.1 }, 0, region)).toEqual({
    cannotTell: 'it moves by 5.4 px a frame: too slow for a streak to show',
  })
  expect(told(measureAngle({ ...region, values: smeared(1, 0.01) }, moving, 0, region))).toBe(false)
  const noise = Float64Array.from({ length: W * H }, (_, p) => uniform(9, 0, p, 0, 0))
  expect(told(measureAngle({ ...region, values: noise }, moving, 0, region))).toBe(false)
})
