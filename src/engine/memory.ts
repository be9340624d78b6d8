import { freemem } from 'node:os'
import { Problem, planeCount, planeSize } from '../core/index.js'
import type { Picture, Plan } from './plan.js'
import type { Job } from './types.js'

/** Float pictures that a thread holds of each input at its peak: decoded, placed, blurred; before, after, variance. */
const FLOAT_COPIES = 4

function nativeBytes(p: Pick<Picture, 'width' | 'height' | 'layout'>): number {
  const bytes = p.layout.float ? 4 : p.layout.bits > 8 ? 2 : 1
  let sum = 0
  for (let i = 0; i < planeCount(p.layout); i++) {
    const s = planeSize(p.layout, p.width, p.height, i)
    sum += s.width * s.height * bytes
  }
  return sum
}

/** Bytes that one frame in flight may need at most. */
export function bytesPerFrame(plan: Plan): number {
  const pictures = [plan.plate, ...Object.values(plan.elements)]
  // A matte has the plate's size and goes along as it was decoded.
  const mattes =
    plan.shot.elements.filter((e) => e.holdout !== undefined).length *
    8 *
    plan.plate.width *
    plan.plate.height
  return pictures.reduce(
    (sum, p) => sum + 2 * nativeBytes(p) + FLOAT_COPIES * 16 * p.width * p.height,
    mattes,
  )
}

/**
 * Threads that fit the memory, at least one.
 *
 * @throws Problem `engine.too-large` when not even one frame fits: said before anything is started
 */
export function threadsFor(plan: Plan, job: Job, cores: number): number {
  const budget = job.memoryBytes ?? freemem() / 2
  const each = bytesPerFrame(plan)
  if (each > budget) {
    const megabytes = (b: number) => `${Math.ceil(b / 2 ** 20)} MiB`
    const largest = Object.entries(plan.elements).sort(
      ([, a], [, b]) => b.width * b.height - a.width * a.height,
    )[0]
    throw new Problem({
      code: 'engine.too-large',
      what: 'One frame of this shot needs more memory than it may take',
      ...(largest === undefined
        ? {}
        : { where: `elements.${largest[0]} (${largest[1].width}×${largest[1].height})` }),
      expected: `at most ${megabytes(budget)}`,
      received: megabytes(each),
      remedy: 'Shrink the element outside, or allow more with --memory.',
    })
  }
  return Math.max(1, Math.min(job.workers ?? Math.min(cores, 8), Math.floor(budget / each)))
}
