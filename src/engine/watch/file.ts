/** Follows an element in the finished file, frame by frame. */
import type { InFile } from '../../chain/place/slide/model.js'
import type { NativeFrame } from '../../core/index.js'
import type { Vision } from '../../vision/index.js'
import type { Picture } from '../plan.js'
import type { Luma } from '../track/luma.js'
import type { Anchor } from './anchor.js'
import { drawnIn } from './drawn.js'
import { type Light, offInFile } from './inFile.js'
import { lightOfLuma } from './light.js'

/** Plate and finished picture of a frame, in light. */
export interface Pair {
  readonly width: number
  readonly plate: Light
  readonly rendered: Light
  /** The most that it can hold. */
  readonly white: number
}

/** @param seen the finished picture, of `delivered`'s layout and curve */
export function pairOf(
  plate: Luma,
  of: Picture,
  seen: Luma,
  delivered: Pick<Picture, 'layout' | 'encoding'>,
): Pair {
  const [a, b] = [lightOfLuma(of.layout, of.encoding), lightOfLuma(delivered.layout, delivered.encoding)]
  return {
    width: plate.width,
    plate: (p) => a(plate.data[p] as number),
    rendered: (p) => b(seen.data[p] as number),
    white: delivered.layout.float ? Number.POSITIVE_INFINITY : b(255 * seen.step),
  }
}

export class FileWatch {
  /** By frame, where it was made out. */
  readonly off = new Map<number, InFile>()
  readonly #vision: Vision
  readonly #anchor: Anchor
  readonly #light: (sample: number) => number
  #last: InFile['off'] = [0, 0]

  constructor(vision: Vision, anchor: Anchor, { layout, encoding }: Picture) {
    this.#vision = vision
    this.#anchor = anchor
    this.#light = lightOfLuma(layout, encoding)
  }

  next(frame: number, { width, ...pair }: Pair, picture: NativeFrame): void {
    const draw = drawnIn(this.#anchor, frame, picture, this.#light)
    if (draw === undefined) return
    const look = { ...pair, region: this.#anchor.regionAt(frame), start: this.#last }
    const found = offInFile(this.#vision, draw, width, look)
    if (found === undefined) return
    this.off.set(frame, found)
    this.#last = found.off
  }
}
