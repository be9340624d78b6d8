/**
 * The whole picture from frame to frame, roughly: on small pictures of levelled contrast. It says where each place about is, how the
 * camera as a whole has moved, and where the picture jumps: a cut, lost frames, a knock, a change of the lens.
 */

import { chained, slopeAt } from '../../chain/place/motion/matrix.js'
import {
  affineOf,
  alike,
  corners,
  followBoth,
  type Grey,
  type Matrix,
  type Place,
  type Vision,
} from '../../vision/index.js'
import { type Luma, smallFactor, smallGrey } from './luma.js'
import { apart, growth, through } from './matrix.js'

export interface Jump {
  readonly frame: number
  /** `far`: found again elsewhere; `gone`: nothing of the picture before is found. */
  readonly kind: 'far' | 'gone'
  /** How far the middle of the picture went, px, and how much larger it became. */
  readonly way: number
  readonly growth: number
}

export interface Step {
  /** Where places that were given lie about; nothing for those that were not found. */
  readonly places: readonly (Place | undefined)[]
  /** Of the whole picture, from the frame before; nothing where that is not known. */
  readonly motion: Matrix | undefined
  readonly jump: Jump | undefined
}

/** All lengths below are small pixels. */
const LOOK = { window: 15, levels: 3 }
const FOUND = 0.6
const AGREE = 1.5
const CORNERS = { most: 160, distance: 12, quality: 0.02 }
const FEW = 100
/** Share of the corners that must be found again, else the picture has jumped; and share of those that must go one way: few, for near things go farther. */
const FOUND_AGAIN = 0.35
const HOLDS = 0.2
/** Ways and growths that stand out: so many times the largest of the last frames, and this share of the picture's width or size more. */
const TIMES = 3
const SHARE = 0.012
const GROWS = 0.03
const MEMORY = 12
/** Of features of two pictures before and after a jump: so many must agree, and this share. */
const SAME = 15
const SAME_SHARE = 0.2
/** After the picture is gone it is looked for in each of so many frames, then in every so many-th. */
const PATIENCE = 12

export class Scene {
  readonly #vision: Vision
  #factor = 1
  #small: Grey | undefined
  #corners: readonly Place[] = []
  #ways: { way: number; grows: number }[] = []
  #gone = 0

  constructor(vision: Vision) {
    this.#vision = vision
  }

  /** The first frame. */
  begin(luma: Luma): void {
    this.#factor = smallFactor(luma.width, luma.height)
    this.#hold(smallGrey(luma, this.#factor), [])
  }

  /** The next frame. @param places where things lie on the last frame of which the picture is known, plate px */
  step(luma: Luma, frame: number, places: readonly Place[]): Step {
    const from = this.#small as Grey
    const to = smallGrey(luma, this.#factor)
    if (this.#gone > 0) return this.#again(from, to, frame, places)
    const count = this.#corners.length
    const before = [...this.#corners, ...places.map(([x, y]): Place => [x / this.#factor, y / this.#factor])]
    const followed = followBoth(this.#vision, from, to, before, before, LOOK)
    const sure = followed.flatMap(({ back }, i) => (i < count && back <= FOUND ? [i] : []))
    const at = (i: number) => (followed[i] as { at: Place }).at
    const fit = affineOf(
      this.#vision,
      sure.map((i) => before[i] as Place),
      sure.map(at),
      AGREE,
    )
    const going = fit === undefined ? [] : sure.filter((_, k) => fit.agree[k])
    const enough = sure.length >= FOUND_AGAIN * count && going.length >= Math.max(8, HOLDS * sure.length)
    if (fit === undefined || !enough) return this.#again(from, to, frame, places)
    const jump = this.#outlying(fit.matrix, frame, to)
    this.#hold(to, going.map(at))
    return {
      places: followed.slice(count).map((f) => (f.back <= FOUND ? this.#large(f.at) : undefined)),
      motion: this.#largeMotion(fit.matrix),
      jump,
    }
  }

  /** Two pictures that do not go over into each other: what is the same in both, wherever it lies? */
  #again(from: Grey, to: Grey, frame: number, places: readonly Place[]): Step {
    const nothing = { places: places.map(() => undefined), motion: undefined }
    this.#gone++
    if (this.#gone > PATIENCE && this.#gone % PATIENCE !== 0) return { ...nothing, jump: undefined }
    const pairs = alike(this.#vision, from, to)
    const fit = affineOf(this.#vision, pairs.from, pairs.to, 2 * AGREE)
    const agree = fit?.agree.filter(Boolean).length ?? 0
    if (fit === undefined || agree < Math.max(SAME, SAME_SHARE * pairs.from.length)) {
      const jump = { frame, kind: 'gone', way: 0, growth: 1 } as const
      return { ...nothing, jump: this.#gone === 1 ? jump : undefined }
    }
    this.#gone = 0
    this.#hold(to, [])
    return { ...nothing, motion: this.#largeMotion(fit.matrix), jump: this.#outlying(fit.matrix, frame, to) }
  }

  /** A way that stands out of those before it. */
  #outlying(motion: Matrix, frame: number, { width, height }: Grey): Jump | undefined {
    const centre: Place = [width / 2, height / 2]
    const way = apart(through(motion, centre), centre)
    const grown = growth(slopeAt(motion, ...centre))
    const grows = Math.abs(Math.log(grown))
    const [usual, grew] = [
      Math.max(0, ...this.#ways.map((w) => w.way)),
      Math.max(0, ...this.#ways.map((w) => w.grows)),
    ]
    const known = this.#ways.length >= 3
    this.#ways = [...this.#ways.slice(1 - MEMORY), { way, grows }]
    if (!known || (way <= TIMES * usual + SHARE * width && grows <= TIMES * grew + GROWS)) return undefined
    this.#ways = []
    return { frame, kind: 'far', way: way * this.#factor, growth: grown }
  }

  #hold(small: Grey, known: readonly Place[]): void {
    this.#small = small
    this.#corners = known.length >= FEW ? known : corners(this.#vision, small, CORNERS)
  }

  #large([x, y]: Place): Place {
    return [x * this.#factor, y * this.#factor]
  }

  #largeMotion(m: Matrix): Matrix {
    const f = this.#factor
    return chained(chained([f, 0, 0, 0, f, 0, 0, 0, 1], m), [1 / f, 0, 0, 0, 1 / f, 0, 0, 0, 1])
  }
}
