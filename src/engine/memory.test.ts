import { expect, it } from 'vitest'
import type { Shot } from '../shot/schema.js'
import { shareOf } from './memory.js'
import type { Picture, Plan } from './plan.js'

const MIB = 2 ** 20

/** A plate of 4:2:2 and an element of 4:4:4 with alpha over all of it, 16 bits a sample: 12 bytes a pixel. */
function planOf(width: number, height: number): Plan {
  const picture = (subX: number, alpha: boolean) =>
    ({ width, height, layout: { family: 'yuv', bits: 10, float: false, subX, subY: 0, alpha } }) as Picture
  return {
    shot: { plate: {}, elements: [{ treatments: {} }], shapes: [] as Shot['shapes'] } as unknown as Shot,
    plate: picture(1, false),
    elements: { smoke: picture(0, true) },
  } as unknown as Plan
}

it('holds small frames by their number and large ones by their bytes', () => {
  const job = { memoryBytes: 64 * 1024 * MIB, workers: 2 }
  // Two for each thread and three between.
  expect(shareOf(planOf(1920, 1080), job, 8)).toEqual({ threads: 2, inputs: 7 })
  // 400 MiB hold four of 94.9 MiB.
  expect(shareOf(planOf(3840, 2160), job, 8)).toEqual({ threads: 2, inputs: 4 })
})

it('takes fewer inputs, then fewer threads, where the memory is small', () => {
  const plan = planOf(1920, 1080)
  const share = (mib: number) => shareOf(plan, { memoryBytes: mib * MIB, workers: 4 }, 8)
  // A thread works in 3 × 31.6 MiB; an input has 23.7 MiB.
  expect(share(1000)).toEqual({ threads: 4, inputs: 11 })
  expect(share(550)).toEqual({ threads: 4, inputs: 7 })
  expect(share(500)).toEqual({ threads: 3, inputs: 9 })
  expect(share(167)).toEqual({ threads: 1, inputs: 3 })
  expect(() => share(166)).toThrowError(expect.objectContaining({ code: 'engine.too-large' }))
})
