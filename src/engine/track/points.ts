/** Points that are followed one by one: each has a look of its own and goes its own way. */
import { IDENTITY } from '../../chain/place/motion/matrix.js'
import type { Place } from '../../vision/index.js'
import { foundAround } from './around.js'
import { ALIKE, type Ask, CLOSES, type Correction, type Follower, inFrame, type Outcome } from './follower.js'
import type { Luma } from './luma.js'
import { lookAt, type Mark, newMark } from './mark.js'
import { apart, middle, through } from './matrix.js'
import { after, STILL } from './patch.js'
import type { Step } from './scene.js'
import { lookFor, type Sight } from './sheet.js'
import { turnOf } from './turn.js'

/** The turn is found anew when so much of the correlation is gone since it was last, or after so many frames. */
const STALE = 0.003
const EVERY = 3
/** A hidden point is looked for so far around where it should lie, px. */
const AROUND = 24
/** A search over many places finds chance likeness too: it must be better than a look at one. */
const FOUND = 0.85
/** Looks that changed: still like the frame before, no longer like the look. So many frames in turn. */
const CHANGED = 0.6
const FRAMES = 3
/** A square so many times as wide is looked at as well, and counts where it is as like as the point's own, but for so much. */
const WIDER = 2
const AS_LIKE = 0.02

export class PointsFollower implements Follower {
  readonly marks: readonly Mark[]
  readonly said: string[] = []
  readonly #ask: Ask
  readonly #fading = new Map<Mark, number>()
  /** The same places in a wider square. */
  readonly #wider = new Map<Mark, Mark>()

  /** @param luma of the frame on which the marks were taken */
  constructor(ask: Ask, luma: Luma, marks: readonly Mark[]) {
    this.#ask = ask
    this.marks = marks
    for (const m of marks) this.#widen(m, luma)
  }

  places(): readonly Place[] {
    return this.marks.map((m) => m.at)
  }

  next(luma: Luma, frame: number, step: Step): Outcome {
    const expected = this.marks.map((m, i) => this.#expected(m, step.places[i], step))
    // Between two looks at its own turn a point turns as the whole picture does.
    const [a, b, , d, e] = step.motion ?? IDENTITY
    for (const m of this.marks) m.turn = after([a, b, d, e], m.turn)
    const near = this.marks.map((_, i) => inFrame(expected[i] as Place, luma, 4))
    const tries = this.marks.flatMap((mark, i) =>
      near[i] ? [{ mark, at: expected[i] as Place, turn: mark.turn }] : [],
    )
    const sights = lookFor(this.#ask.vision, luma, tries, this.#ask.noise, true)
    const found: [Mark, Sight][] = []
    for (const [i, mark] of this.marks.entries()) {
      const byHand = this.#corrected(mark, frame)
      if (byHand !== undefined) {
        this.#take(mark, luma, frame, byHand)
        continue
      }
      const place = expected[i] as Place
      const k = tries.findIndex((t) => t.mark === mark)
      const sight = k < 0 ? undefined : this.#settled(mark, luma, frame, place, sights[k])
      if (sight === undefined) {
        mark.at = place
        mark.hidden++
        continue
      }
      found.push([mark, sight])
    }
    const beside = this.#beside(found, luma)
    for (const [i, [mark, sight]] of found.entries()) this.#see(mark, luma, frame, sight, beside[i] as number)
    const [tried, seen] = [tries.length, found.length]
    const sharp = found.map(([, s]) => s.sharp)
    const clear = sharp.length === 0 ? undefined : middle(sharp)
    return { frame, tried, seen, agree: seen, sharp: clear, motion: undefined }
  }

  /** Where the small pictures saw it; a hidden one goes with the whole picture. */
  #expected(mark: Mark, place: Place | undefined, { motion }: Step): Place {
    if (mark.hidden === 0 && place !== undefined) return place
    return motion === undefined ? mark.at : through(motion, mark.at)
  }

  /** What was seen, looked at once more where that did not do. */
  #settled(mark: Mark, luma: Luma, frame: number, place: Place, first: Sight | undefined): Sight | undefined {
    let sight = first
    const stale = sight !== undefined && (sight.alike < mark.fresh - STALE || frame % EVERY === 0)
    if (sight !== undefined && stale && sight.alike > CHANGED) sight = this.#turnedTo(mark, luma, sight)
    if (good(sight, ALIKE)) return sight
    const again = this.#searched(mark, luma, place)
    return good(again, FOUND) ? again : undefined
  }

  /** With its turn found anew, where that is better. */
  #turnedTo(mark: Mark, luma: Luma, sight: Sight): Sight {
    const { vision, noise } = this.#ask
    const found = turnOf(vision, luma, mark, sight.at)
    if (found === undefined) return sight
    const [again] = lookFor(vision, luma, [{ mark, ...found }], noise, true)
    if (again === undefined || again.alike <= sight.alike) {
      mark.fresh = sight.alike
      return sight
    }
    mark.turn = found.turn
    mark.fresh = again.alike
    return again
  }

  /** The look as it last lay, at full search around where it should be. */
  #searched(mark: Mark, luma: Luma, place: Place): Sight | undefined {
    const { vision, noise } = this.#ask
    const { at: to } = foundAround(vision, luma, mark.look, mark.turn, place, AROUND)
    return lookFor(vision, luma, [{ mark, at: to, turn: mark.turn }], noise, true)[0]
  }

  /**
   * How far along an axis a wider square says that each lies elsewhere, px: 0 where it does not look alike, as where things of another depth
   * come into it. A codec moves small squares of fine texture along as it likes, and nothing within them shows it.
   */
  #beside(found: readonly (readonly [Mark, Sight])[], luma: Luma): number[] {
    const { vision, noise } = this.#ask
    const tries = found.map(([mark, sight]) => {
      return { mark: this.#wider.get(mark) as Mark, at: sight.at, turn: mark.turn }
    })
    return lookFor(vision, luma, tries, noise).map((wide, i) => {
      const [, own] = found[i] as readonly [Mark, Sight]
      if (wide === undefined || wide.back > CLOSES || wide.alike < own.alike - AS_LIKE) return 0
      return apart(wide.at, own.at) / Math.SQRT2
    })
  }

  #widen(mark: Mark, luma: Luma): void {
    const { frame, at, window } = mark.look
    this.#wider.set(mark, newMark(mark.from, lookAt(luma, frame, at, WIDER * window - 1)))
  }

  #see(mark: Mark, luma: Luma, frame: number, sight: Sight, beside: number): void {
    mark.at = sight.at
    mark.hidden = 0
    mark.agreed++
    mark.seen.push({
      frame,
      at: this.#ask.lens.straight(sight.at),
      spread: Math.sqrt(sight.spread ** 2 + beside ** 2),
      weighing: { shape: sight.shape, share: 1 },
    })
    const fading = sight.alike < (ALIKE + FOUND) / 2 ? (this.#fading.get(mark) ?? 0) + 1 : 0
    this.#fading.set(mark, fading)
    if (fading >= FRAMES) this.#renew(mark, luma, frame, sight.at, 'no longer looks as it did')
  }

  /** From here on it is compared with how it looks now: what it is off by here stays. */
  #renew(mark: Mark, luma: Luma, frame: number, at: Place, why: string): void {
    const [x, y] = mark.from.map((v) => Number(v.toFixed(1)))
    this.said.push(
      `The point ${x},${y} ${why} on frame ${frame}: from there on it is compared with that frame, and what it is off by there stays.`,
    )
    mark.look = lookAt(luma, frame, at, mark.look.window)
    this.#widen(mark, luma)
    mark.turn = STILL
    mark.fresh = 1
    this.#fading.set(mark, 0)
  }

  #corrected(mark: Mark, frame: number): Place | undefined {
    const near = (c: Correction) => c.frame === frame && apart(c.from, mark.from) <= 0.5
    return this.#ask.corrections.find(near)?.to
  }

  #take(mark: Mark, luma: Luma, frame: number, to: Place): void {
    mark.at = this.#ask.lens.filmed(to)
    mark.hidden = 0
    this.#renew(mark, luma, frame, mark.at, 'was put right by hand')
  }
}

function good(sight: Sight | undefined, alike: number): sight is Sight {
  return sight !== undefined && sight.back <= CLOSES && sight.alike >= alike
}
