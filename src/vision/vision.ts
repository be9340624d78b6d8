/**
 * Access to the library. All that is made within one `use` is freed at its end, however it ends: what the library holds in its
 * own memory no collector sees.
 *
 * Places are as everywhere here: edges at whole numbers, the first pixel's centre at 0.5, 0.5. The library puts centres at whole
 * numbers; this room converts, nobody else.
 */
import { Problem } from '../core/index.js'
import { type Held, type Library, loadLibrary, type Mat } from './library.js'

/** x and y in pixels, edges at whole numbers. */
export type Place = readonly [number, number]

/** A grey picture of 8 bits, row by row. */
export interface Grey {
  readonly width: number
  readonly height: number
  readonly data: Uint8Array
}

/** Frees what it is given when the work is over. */
export type Keep = <T extends Held>(held: T) => T

/** From the centre of a pixel to its corner. */
export const HALF = 0.5
/** The same numbers every time. */
const SEED = 1

export class Vision {
  readonly #library: Library

  constructor(library: Library) {
    this.#library = library
  }

  /** @throws Problem `vision.library` when the library refuses */
  use<T>(work: (cv: Library, keep: Keep) => T): T {
    return scoped((keep) => {
      try {
        this.#library.setRNGSeed(SEED)
        return work(this.#library, keep)
      } catch (e) {
        throw typeof e === 'number' ? refused(this.#library.exceptionFromPtr(e).msg) : e
      }
    })
  }
}

export async function openVision(): Promise<Vision> {
  return new Vision((await loadLibrary()).library)
}

/** Runs `work` and deletes all that it kept, the last first. */
export function scoped<T>(work: (keep: Keep) => T): T {
  const held: Held[] = []
  try {
    return work((one) => {
      held.push(one)
      return one
    })
  } finally {
    for (const one of held.reverse()) one.delete()
  }
}

export function matOf(cv: Library, keep: Keep, { width, height, data }: Grey): Mat {
  const mat = keep(new cv.Mat(height, width, cv.CV_8UC1))
  mat.data.set(data)
  return mat
}

/** Places as the library has them. */
export function placesMat(cv: Library, keep: Keep, places: readonly Place[]): Mat {
  const mat = keep(new cv.Mat(places.length, 1, cv.CV_32FC2))
  const to = mat.data32F
  places.forEach(([x, y], i) => {
    to[2 * i] = x - HALF
    to[2 * i + 1] = y - HALF
  })
  return mat
}

export function placesOf(mat: Mat): Place[] {
  const from = mat.data32F
  return Array.from({ length: mat.rows * mat.cols }, (_, i) => [
    (from[2 * i] as number) + HALF,
    (from[2 * i + 1] as number) + HALF,
  ])
}

function refused(msg: string): Problem {
  return new Problem({
    code: 'vision.library',
    what: 'The vision library refused its work',
    received: msg.trim(),
    remedy: 'This is a defect of Platefit.',
    exit: 3,
  })
}
