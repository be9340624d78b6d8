/** A plane that was lost: looked for in the whole picture by features of how it looked on its reference frame, wherever it lies. */
import {
  type Features,
  featuresOf,
  type Grey,
  homographyOf,
  type Matrix,
  type Place,
  paired,
} from '../../vision/index.js'
import { inside } from './find.js'
import type { Ask } from './follower.js'
import { type Luma, smallFactor, smallGrey } from './luma.js'
import type { Step } from './scene.js'

/** Longer side of the pictures in which it is looked for, px, and features that are taken of it and of the whole picture. */
const SIDE = 1000
const OWN = 800
const ALL = 2000
/** While it stays lost it is looked for on every so many-th frame. */
const EVERY = 4
/** Pairs that must agree, small px that they may be off. */
const LEAST = 10
const OFF = 3

export class Again {
  readonly #ask: Ask
  readonly #outline: readonly Place[] | undefined
  readonly #factor: number
  /** The reference frame, until its features are asked for. */
  #reference: Grey | Features
  #lost = 0

  /**
   * @param luma the reference frame
   * @param outline of it; nothing: the whole picture
   */
  constructor(ask: Ask, luma: Luma, outline: readonly Place[] | undefined) {
    this.#ask = ask
    this.#outline = outline
    this.#factor = smallFactor(luma.width, luma.height, SIDE)
    this.#reference = smallGrey(luma, this.#factor)
  }

  /** It is seen. */
  seen(): void {
    this.#lost = 0
  }

  /** Where the picture before does not go over into this one. @returns as `lookFor` */
  overJump(luma: Luma, { places }: Step): Matrix | undefined {
    return this.#lost === 0 && places.every((p) => p === undefined) ? this.#found(luma) : undefined
  }

  /** It is not seen where it should be. @returns its motion from the reference frame, roughly, where it is found elsewhere */
  lookFor(luma: Luma): Matrix | undefined {
    return ++this.#lost % EVERY === 0 ? this.#found(luma) : undefined
  }

  #found(luma: Luma): Matrix | undefined {
    const { vision } = this.#ask
    const there = featuresOf(vision, smallGrey(luma, this.#factor), ALL)
    const { from, to } = paired(vision, this.#own(), there)
    const straight = (p: Place) => this.#straight(p)
    const fit = homographyOf(vision, from.map(straight), to.map(straight), OFF * this.#factor)
    const agree = fit?.agree.filter(Boolean).length ?? 0
    return agree >= LEAST ? fit?.matrix : undefined
  }

  #own(): Features {
    const held = this.#reference
    if ('words' in held) return held
    const outline = this.#outline
    const within = (p: Place) => outline === undefined || inside(outline, this.#straight(p))
    const own = featuresOf(this.#ask.vision, held, OWN, within)
    this.#reference = own
    return own
  }

  #straight([x, y]: Place): Place {
    return this.#ask.lens.straight([x * this.#factor, y * this.#factor])
  }
}
