import { expect, it } from 'vitest'
import { parseShot } from '../shot/index.js'
import { conformedOf, conformFindings } from './conform.js'
import type { Picture } from './plan.js'

const picture = (fps: number, frameCount = 100) => ({ rate: { num: fps, den: 1 }, frameCount }) as Picture
const shot = (time: object) =>
  parseShot(
    {
      ...{ platefit: 1, plate: { file: 'plate' } },
      elements: [
        {
          ...{ id: 'spark', file: 'spark', alpha: 'on-black', nature: 'emits', scale: 1 },
          ...{ position: { x: 0, y: 0 }, time },
        },
      ],
    },
    'test',
  )
const of = (fps: number, plate: number, time: object, count = 10) =>
  conformedOf(shot(time).elements[0]!, picture(fps), picture(plate), shot(time), [...Array(count).keys()])

// By hand from n · 24/30 and n · 30/24, a half up for the nearest: 0 1 2 2 3 4 5 6 6 7 and 0 1 3 4 5 6 8 9 10 11; rounded down 0 0 1 2 3 4 4 5 6 7.
it('counts which frames repeat a picture, leave one out, or mix two', () => {
  expect(of(24, 30, {})?.frames).toEqual([3, 8])
  expect(of(30, 24, {})?.frames).toEqual([2, 6])
  expect(of(30, 24, {})?.words).toMatch(/2 of its own pictures are left out/)
  expect(of(24, 30, { conform: 'held' })?.frames).toEqual([1, 6])
  expect(of(24, 30, { conform: 'blend' })?.frames).toEqual([1, 2, 3, 4, 6, 7, 8, 9])
  expect(of(24, 30, { conform: 'flow' })?.words).toMatch(/8 frames .* tears/)
  // Each second one left out: it moves evenly, over twice the way of which each picture shows the blur.
  expect(of(48, 24, {})?.words).toMatch(/^9 of its own pictures are left out: its blur is too short/)
  expect(of(24, 24, {})).toBeUndefined()
})

it('says it with the rates, the frames and what else can be done', () => {
  const pictures = { shot: shot({}), plate: picture(30), elements: { spark: picture(24) } }
  const [said] = conformFindings(pictures, [...Array(10).keys()])
  expect(said?.detail).toMatchObject({
    code: 'shutter.conform',
    what: expect.stringMatching(/"spark" has 24 frames a second, in a plate of 30; 2 frames show/),
    received: 'nearest; 2 of 10 frames: 3, 8',
  })
})
