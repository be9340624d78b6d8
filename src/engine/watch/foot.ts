/**
 * Whether the ground at an element's anchor is hidden for a while in the plate: its look there, against how it looked before, at the
 * place to which the texture about it goes (the chain's own place: where that slides, another tell says so).
 */
import { type Place, search, type Vision } from '../../vision/index.js'
import type { Luma } from '../track/luma.js'
import { cropped } from './ground.js'

/** Sides of the look and of where it is searched, px. */
const LOOK = 31
const AROUND = 6
/** Below the first it is something else, above the second the same. */
const OTHER = 0.35
const SAME = 0.75
/** Standard deviation of a look with texture, of 255. */
const TEXTURE = 5
/** A look is renewed while it is still seen, so that a slow change of view is none. */
const RENEW = 0.85

export interface Hidden {
  /** On which it is something else. */
  readonly frames: number[]
  /** Last and first frame on which it was seen before and after. */
  readonly between: [number, number]
  readonly at: Place
  alike: number
}

export class FootWatch {
  /** Runs on which it was hidden, and after which it was seen again. */
  readonly hidden: Hidden[] = []
  readonly #vision: Vision
  #look: ReturnType<typeof cropped> | undefined
  #run: Hidden | undefined
  #seen = 0

  constructor(vision: Vision) {
    this.#vision = vision
  }

  next(frame: number, luma: Luma, anchor: Place | undefined): void {
    const own = anchor && about(luma, anchor, LOOK)
    const wide = anchor && about(luma, anchor, LOOK + 2 * AROUND)
    // What is not seen again may have changed for good: nothing is said of it.
    if (own === undefined || wide === undefined) {
      this.#look = undefined
      this.#run = undefined
      return
    }
    if (this.#look === undefined) {
      if (textured(own.data)) this.#look = own
      this.#seen = frame
      return
    }
    const { correlation } = search(this.#vision, this.#look, wide)
    if (correlation < OTHER) {
      this.#run ??= { frames: [], between: [this.#seen, frame], at: anchor as Place, alike: 1 }
      this.#run.frames.push(frame)
      this.#run.alike = Math.min(this.#run.alike, correlation)
    } else if (correlation > SAME && this.#run !== undefined) {
      this.#run.between[1] = frame
      this.hidden.push(this.#run)
      this.#run = undefined
    }
    if (correlation > RENEW) {
      this.#look = own
      this.#seen = frame
    }
  }
}

function about(luma: Luma, [x, y]: Place, side: number) {
  const box = { x: Math.round(x - side / 2), y: Math.round(y - side / 2), width: side, height: side }
  const inside = box.x >= 0 && box.y >= 0 && box.x + side <= luma.width && box.y + side <= luma.height
  return inside ? cropped(luma, box) : undefined
}

function textured(data: Uint8Array): boolean {
  const mean = data.reduce((a, b) => a + b, 0) / data.length
  return Math.sqrt(data.reduce((s, v) => s + (v - mean) ** 2, 0) / data.length) > TEXTURE
}
