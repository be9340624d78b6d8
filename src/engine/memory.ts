import { freemem } from 'node:os'
import { Problem, planeCount, planeSize } from '../core/index.js'
import { shapesBefore } from '../shot/before.js'
import { depthOf, followsDepth } from '../shot/matte.js'
import type { Picture, Plan } from './plan.js'
import type { Job } from './types.js'

/** Pictures of the plate's size that a thread holds of each element at its peak: placed and blurred; what is bent goes by in bands. */
const PLACED = 2
/** What the map of a carried element takes where it has a node on every pixel: as much as so many pictures. */
const MAP = 2
/** Pictures of an element's own size where a round of its loop crosses over: both, and what they are together. */
const CROSSED = 3
/** Bytes of a float pixel. */
const FLOAT = 16
/** Bytes of a pixel of what hides an element, and of the plate's light where that hides. */
const HIDDEN = 24
/** Bytes of a pixel of a blur in depth order, with what lies around the picture. */
const LAYERED = 140
/** Inputs that each thread may hold, so that it need not wait for the next one. */
export const DEPTH = 2
/** Inputs beyond those of the threads: on the way from the decoder and to the encoder; with fewer than the least, threads wait. */
const BETWEEN = { least: 2, most: 3 }
/** Decoded inputs may take this much a thread: at 1080p all that are of use, at 2160p few more than are worked on. */
const INPUTS_BYTES = 200 * 2 ** 20

/** What a render may take of the machine. */
export interface Share {
  readonly threads: number
  /** Decoded inputs that are held at once, from the decoder to the encoder. */
  readonly inputs: number
}

/** Bytes of a picture as it is decoded. */
export function nativeBytes(p: Pick<Picture, 'width' | 'height' | 'layout'>): number {
  const bytes = p.layout.float ? 4 : p.layout.bits > 8 ? 2 : 1
  let sum = 0
  for (let i = 0; i < planeCount(p.layout); i++) {
    const s = planeSize(p.layout, p.width, p.height, i)
    sum += s.width * s.height * bytes
  }
  return sum
}

/** Bytes of one decoded input. */
function inputBytes({ shot, plate, elements }: Plan): number {
  // A matte has the plate's size and goes along as it was decoded; so does a depth map, which is seldom larger.
  const files = shot.elements.filter((e) => e.holdout?.file !== undefined).length + (depthOf(shot) ? 1 : 0)
  const mattes = files * 8 * plate.width * plate.height
  // A round of a loop that crosses over shows two pictures.
  const crossing = shot.elements.flatMap((e) => (e.time?.loop?.cross ? (elements[e.id] ?? []) : []))
  return [plate, ...Object.values(elements), ...crossing].reduce((sum, p) => sum + nativeBytes(p), mattes)
}

/** Bytes that a thread works in at most: each element as its file has it, and what becomes of it; the plate goes by in strips. */
function workBytes({ shot, plate, elements }: Plan): number {
  const whole = plate.width * plate.height
  // Where rows do not stand alone a held element is copied whole, beside what hides it.
  const held = shot.elements.filter((e) => e.holdout !== undefined || shapesBefore(shot, e).length > 0).length
  // A blur in depth order keeps sums of three lights beside the scene that it is made from.
  const fields = shot.elements.filter((e) => followsDepth(e) || e.treatments['lens.blurGradient']).length
  const blurred = (fields + (shot.plate.blur === undefined ? 0 : 1)) * LAYERED * whole
  return Object.entries(elements).reduce(
    (sum, [id, p]) => {
      const e = shot.elements.find((one) => one.id === id)
      const own = (e?.time?.loop?.cross ? CROSSED : 1) * p.width * p.height
      return sum + FLOAT * (own + (PLACED + (e?.follow === undefined ? 0 : MAP)) * whole)
    },
    held * (FLOAT + HIDDEN) * whole + blurred,
  )
}

/**
 * Threads and inputs that fit the memory: at least one thread, and inputs enough that none waits.
 *
 * @throws Problem `engine.too-large` when not even that fits: said before anything is started
 */
export function shareOf(plan: Plan, job: Job, cores: number): Share {
  const budget = job.memoryBytes ?? freemem() / 2
  const work = workBytes(plan)
  const input = inputBytes(plan)
  const fitting = Math.floor((budget - BETWEEN.least * input) / (work + input))
  if (fitting < 1) throw tooLarge(plan, budget, work + (1 + BETWEEN.least) * input)
  const threads = wanted(job, cores, fitting)
  const room = Math.min(budget - threads * work, threads * INPUTS_BYTES)
  const inputs = Math.min(Math.floor(room / input), DEPTH * threads + BETWEEN.most)
  return { threads, inputs: Math.max(inputs, threads + BETWEEN.least) }
}

/** Threads for work that takes so many bytes each: one at least. */
export function threadsWithin(bytes: number, job: Job, cores: number): number {
  return wanted(job, cores, Math.floor((job.memoryBytes ?? freemem() / 2) / bytes))
}

function wanted({ workers }: Job, cores: number, fitting: number): number {
  return Math.max(1, Math.min(workers ?? Math.min(cores, 8), fitting))
}

function tooLarge(plan: Plan, budget: number, needed: number): Problem {
  const megabytes = (b: number) => `${Math.ceil(b / 2 ** 20)} MiB`
  const largest = Object.entries(plan.elements).sort(
    ([, a], [, b]) => b.width * b.height - a.width * a.height,
  )[0]
  return new Problem({
    code: 'engine.too-large',
    what: 'One frame of this shot needs more memory than it may take',
    ...(largest === undefined
      ? {}
      : { where: `elements.${largest[0]} (${largest[1].width}×${largest[1].height})` }),
    expected: `at most ${megabytes(budget)}`,
    received: megabytes(needed),
    remedy: 'Shrink the element outside, or allow more with --memory.',
  })
}
