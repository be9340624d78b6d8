import { expect, it } from 'vitest'
import { measureBlur } from '../../src/chain/lens/defocus/measure.js'
import { told, uniform } from '../../src/core/index.js'
import { LIMIT as ABERRATION_LIMIT, aberrationTrip } from './aberration.js'
import { blurTrip, codedBlurTrip, LIMIT } from './blur.js'
import { amplitudeTrip, sizeTrip } from './coarse.js'
import { DISTORTION_LIMIT, distortionTrip } from './distortion.js'
import { LIMIT as GLARE_LIMIT, glareTrip } from './glare.js'
import { lagTrip, sigmaTrip } from './grain.js'
import { photographs } from './photographs.js'

const DRAWS = 4

it('blur that was put into photographs comes back', async () => {
  const pictures = await photographs()
  for (let draw = 0; draw < DRAWS; draw++) {
    const { truth, reading } = blurTrip(pictures, draw)
    expect(told(reading) && Math.abs(reading.value / truth - 1)).toBeLessThan(LIMIT)
  }
})

it.each([false, true])(
  'lateral aberration that was put into photographs comes back, 4:2:0 %s',
  async (halved) => {
    const pictures = await photographs()
    for (let draw = 0; draw < DRAWS; draw++) {
      const { truth, reading } = aberrationTrip(pictures, draw, halved)
      expect(told(reading) && Math.abs(reading.value - truth)).toBeLessThan(2 * ABERRATION_LIMIT)
    }
  },
)

it('and through an encoder and back, within what it says of itself', async () => {
  const { truth, reading } = await codedBlurTrip(await photographs(), 19)
  const spread = told(reading) && reading.evidence.kind === 'measured' ? (reading.evidence.spread ?? 0) : 0
  expect(told(reading) && Math.abs(reading.value - truth)).toBeLessThan(2 * spread)
  expect(spread).toBeLessThan(0.1 * truth)
})

// The scene decides whether a skirt shows: what is told must be right, and most is told.
it('a skirt of glare that was laid around lamps at night comes back', async () => {
  const pictures = await photographs()
  const trips = [2, 9, 18, 21, 24].map((draw) => glareTrip(pictures, draw))
  const all = trips.flatMap(({ truth, reading }) => (told(reading) ? [{ truth, ...reading }] : []))
  expect(all.length).toBeGreaterThanOrEqual(4)
  for (const { truth, value, evidence } of all) {
    expect(Math.abs(value / truth - 1)).toBeLessThan(2 * GLARE_LIMIT)
    const spread = evidence.kind === 'measured' ? (evidence.spread ?? 0) : 0
    expect(Math.abs(value - truth)).toBeLessThan(3 * spread)
  }
})

it('a small part, and one without detail, tell no blur', () => {
  const flat = (width: number, height: number) => ({
    ...{ width, height },
    values: Float64Array.from({ length: width * height }, (_, i) => 0.2 + 1e-3 * uniform(3, 0, i, 0, 0)),
  })
  const region = { x: 0, y: 0, width: 96, height: 96 }
  expect(measureBlur(flat(40, 200), 0, region, false)).toEqual({
    cannotTell: 'the part is 40×200 px; a blur needs 48 px at least to show',
  })
  expect(told(measureBlur(flat(96, 96), 0, region, false))).toBe(false)
})

it('distortion that straight lines were seen through comes back', async () => {
  const pictures = await photographs()
  for (const draw of [33]) {
    const { truth, reading } = distortionTrip(pictures, draw)
    expect(told(reading) && Math.abs(reading.value / truth - 1)).toBeLessThan(DISTORTION_LIMIT)
  }
})

it('noise that was put into photographs comes back, in eight bits and at half the chroma', async () => {
  const pictures = await photographs()
  for (const draw of [0, 1]) {
    for (const [trip, limit] of [
      [sigmaTrip(pictures, draw, 'rgb'), 0.06],
      [sigmaTrip(pictures, draw, '420'), 0.16],
    ] as const) {
      expect(told(trip.reading) && Math.abs(trip.reading.value / trip.truth - 1)).toBeLessThan(limit)
    }
    const { truth, reading } = lagTrip(pictures, draw)
    expect(told(reading) && Math.abs(reading.value - truth)).toBeLessThan(0.03)
  }
})

it('blotches that were put into photographs come back, strength and size', async () => {
  const pictures = await photographs()
  for (const [trip, limit] of [
    [amplitudeTrip(pictures, 1, '420'), 0.15],
    [sizeTrip(pictures, 3), 0.2],
  ] as const)
    expect(told(trip.reading) && Math.abs(trip.reading.value / trip.truth - 1)).toBeLessThan(limit)
})
