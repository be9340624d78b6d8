import { expect, it } from 'vitest'
import { scaleFor, sizeLine } from './size.js'

const element = { width: 1920, height: 1080 }

it('takes a scale, a height in pixels, or a real height', () => {
  expect(scaleFor({ scale: 0.5 }, element, 1920)).toBe(0.5)
  expect(scaleFor({ heightPx: 540 }, element, 1920)).toBe(0.5)
  // 2 m at 20 m through 36 mm on a 36 mm sensor: a tenth of the frame's width, 192 px of 1080.
  const known = { heightM: 2, distanceM: 20, focalLengthMm: 36, sensorWidthMm: 36 }
  expect(scaleFor(known, element, 1920)).toBeCloseTo(192 / 1080, 12)
})

it('takes the side of the sensor that lies along the picture’s width, also of a plate shot upright', () => {
  // A pinhole does not care how its sensor is turned: 16:9 of 9.6 mm by 5.4 mm, 1920 px by 1080 px.
  const known = { heightM: 2, distanceM: 20, focalLengthMm: 6 }
  const lying = scaleFor({ ...known, sensorWidthMm: 9.6 }, element, 1920)
  const upright = scaleFor({ ...known, sensorWidthMm: 5.4 }, element, 1080)
  // 2 m · 6 mm / 20 m = 0.6 mm on the sensor, 200 px a mm.
  expect(lying).toBeCloseTo(120 / 1080, 12)
  expect(upright).toBeCloseTo(120 / 1080, 12)
})

it('asks for what is missing instead of guessing', () => {
  expect(scaleFor({ heightM: 2, focalLengthMm: 36 }, element, 1920)).toEqual({
    tell: '--distance, --sensor-width to --height',
  })
  const line = sizeLine({}, element, 1920, undefined)
  expect(line.verdict).toBe('cannot tell')
  expect(line.remedy).toContain('--scale')
})

it('calls enlarging poor and then unfit', () => {
  const verdict = (scale: number) => sizeLine({ scale }, element, 1920, undefined).verdict
  expect([0.2, 1, 1.1, 1.5, 2, 2.1].map(verdict)).toEqual(['fine', 'fine', 'fine', 'poor', 'poor', 'unfit'])
  expect(sizeLine({ scale: 2 }, element, 1920, 0.5).why).toContain(
    '2160 plate px tall; the effect takes up 50 %',
  )
})
