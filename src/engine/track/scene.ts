/**
 * The whole picture from frame to frame, roughly: on small pictures of levelled contrast. It says where each place about is, how the
 * camera as a whole has moved, and what jumps are told from afterwards (jumps.ts).
 */
import { chained } from '../../chain/place/motion/matrix.js'
import {
  affineOf,
  alike,
  corners,
  followBoth,
  type Matrix,
  type Place,
  type Vision,
} from '../../vision/index.js'
import { type Look, type Luma, smallFactor, smallLook } from './luma.js'

/** From the last frame of which the picture is known to one after it, in the order of the pass. */
export interface Passage {
  readonly from: number
  readonly to: number
  /** Of the whole picture, plate px; nothing where it is not found again. */
  readonly motion: Matrix | undefined
  /** Places that were followed, with the picture or not, plate px. */
  readonly pairs: readonly (readonly [from: Place, to: Place])[]
  readonly looks: readonly [from: Look, to: Look]
}

export interface Step extends Pick<Passage, 'motion'> {
  /** Where places that were given lie about; nothing for those that were not found. */
  readonly places: readonly (Place | undefined)[]
  /** Found by features of the picture alone: it does not go over into this one. */
  readonly again: boolean
  readonly passage: Passage
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
/** Of features of two pictures before and after a jump: so many must agree, and this share. */
const SAME = 15
const SAME_SHARE = 0.2
/** After the picture is gone it is looked for in each of so many frames, then in every so many-th. */
const PATIENCE = 12

export class Scene {
  readonly #vision: Vision
  #factor = 1
  #small: Small | undefined
  #corners: readonly Place[] = []
  /** Of the small picture. */
  #frame = 0
  #gone = 0

  constructor(vision: Vision) {
    this.#vision = vision
  }

  /** The first frame. */
  begin(luma: Luma, frame: number): void {
    this.#factor = smallFactor(luma.width, luma.height)
    this.#hold(smallLook(luma, this.#factor), frame, [])
  }

  /** The next frame. @param places where things lie on the last frame of which the picture is known, plate px */
  step(luma: Luma, frame: number, places: readonly Place[]): Step {
    const from = this.#small as Small
    const to = smallLook(luma, this.#factor)
    if (this.#gone > 0) return this.#again(from, to, frame, places)
    const count = this.#corners.length
    const before = [...this.#corners, ...places.map(([x, y]): Place => [x / this.#factor, y / this.#factor])]
    const followed = followBoth(this.#vision, from.grey, to.grey, before, before, LOOK)
    const sure = followed.flatMap(({ back }, i) => (i < count && back <= FOUND ? [i] : []))
    const [was, is] = [
      sure.map((i) => before[i] as Place),
      sure.map((i) => (followed[i] as { at: Place }).at),
    ]
    const fit = affineOf(this.#vision, was, is, AGREE)
    const going = fit === undefined ? [] : is.filter((_, k) => fit.agree[k])
    const enough = sure.length >= FOUND_AGAIN * count && going.length >= Math.max(8, HOLDS * sure.length)
    if (fit === undefined || !enough) return this.#again(from, to, frame, places)
    const passage = this.#passage(from, to, frame, fit.matrix, was, is)
    this.#hold(to, frame, going)
    return {
      places: followed.slice(count).map((f) => (f.back <= FOUND ? this.#large(f.at) : undefined)),
      motion: passage.motion,
      again: false,
      passage,
    }
  }

  /** Two pictures that do not go over into each other: what is the same in both, wherever it lies? */
  #again(from: Small, to: Small, frame: number, places: readonly Place[]): Step {
    const nothing = { places: places.map(() => undefined), again: true }
    const gone = { ...nothing, motion: undefined, passage: this.#passage(from, to, frame, undefined, [], []) }
    this.#gone++
    if (this.#gone > PATIENCE && this.#gone % PATIENCE !== 0) return gone
    const pairs = alike(this.#vision, from.grey, to.grey)
    const fit = affineOf(this.#vision, pairs.from, pairs.to, 2 * AGREE)
    const agree = fit?.agree.filter(Boolean).length ?? 0
    if (fit === undefined || agree < Math.max(SAME, SAME_SHARE * pairs.from.length)) return gone
    const passage = this.#passage(from, to, frame, fit.matrix, pairs.from, pairs.to)
    this.#gone = 0
    this.#hold(to, frame, [])
    return { ...nothing, motion: passage.motion, passage }
  }

  #passage(
    from: Small,
    to: Small,
    frame: number,
    motion: Matrix | undefined,
    was: readonly Place[],
    is: readonly Place[],
  ): Passage {
    return {
      ...{ from: this.#frame, to: frame, motion: motion && this.#largeMotion(motion) },
      pairs: was.map((p, i) => [this.#large(p), this.#large(is[i] as Place)]),
      looks: [from.look, to.look],
    }
  }

  #hold(small: Small, frame: number, known: readonly Place[]): void {
    this.#small = small
    this.#frame = frame
    this.#corners = known.length >= FEW ? known : corners(this.#vision, small.grey, CORNERS)
  }

  #large([x, y]: Place): Place {
    return [x * this.#factor, y * this.#factor]
  }

  #largeMotion(m: Matrix): Matrix {
    const f = this.#factor
    return chained(chained([f, 0, 0, 0, f, 0, 0, 0, 1], m), [1 / f, 0, 0, 0, 1 / f, 0, 0, 0, 1])
  }
}

type Small = ReturnType<typeof smallLook>
