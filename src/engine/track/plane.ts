/**
 * What moves together: a part of the picture within an outline, or all of it, that is the camera. Many marks are looked for, and the
 * motion that most of them go with is theirs; those that go elsewhere (people, leaves, what passes before) do not count.
 */

import type { Pair } from '../../chain/place/motion/fit/pairs.js'
import { type Placed, placedStill, squareAbout } from '../../chain/place/motion/fit/slant.js'
import { chained, IDENTITY, inverse } from '../../chain/place/motion/matrix.js'
import type { Matrix, Place } from '../../vision/index.js'
import { Again } from './again.js'
import { foundAround } from './around.js'
import { astrayOf } from './astray.js'
import { type Before, commonMotion } from './common.js'
import { boundsOf, findPlaces, inside } from './find.js'
import { ALIKE, type Ask, CLOSES, type Follower, inFrame, type Outcome } from './follower.js'
import type { Luma } from './luma.js'
import { lookAt, type Mark, newMark } from './mark.js'
import { apart, growth, middle, through } from './matrix.js'
import { Past } from './past.js'
import type { Step } from './scene.js'
import { lookFor, type Try } from './sheet.js'
import { turnAt } from './turn.js'
import { unevenOf } from './uneven.js'
import { type Spread, sharesOf, takenAt, widened } from './weigh.js'

/** Marks that are looked for in one frame, oldest looks first. */
const MOST = 130
/** px that a mark may be off the common motion, and so many times its spread. */
const OFF = 0.8
const SPREADS = 4
/** The same for what the small pictures say. */
const ROUGHLY = 4
/** A motion counts when so many marks go with it, and this share of those looked for, or of those that went with it last. */
const LEAST = 6
const SHARE = 0.2
const KEPT = 0.5
/** Marks that a lost plane is looked for by, and how far around, px. */
const SEARCHED = 16
const AROUND = 48
/** A mark that did not go with the others for so many tries is looked for in every so many-th frame alone. */
const RESTS = 8
/** Where fewer marks than that share of the first ones can be seen at all, new ones are taken. */
const REFILL = 0.6
/** A look drawn this much larger or smaller is no longer the same look. */
const GROWN = 1.6
/** Looks have changed when no more than this share of the most that ever went together still do, for so many frames in turn. */
const CHANGED = 0.35
const FRAMES = 4
/** Frames between two fillings because looks have changed. */
const PATIENCE = 10
/** A mark that strays more often than this, and more often than it agrees, is let go. */
const STRAYS = 6
/** A mark that agreed so often is one of the plane's; what goes another way then is no passer-by. */
const KNOWN = 4
/** Room that a mark needs to the picture's border, px. */
const MARGIN = 6

interface Known {
  readonly matrix: Matrix
  readonly placed: Placed
  readonly frame: number
}

export class PlaneFollower implements Follower {
  readonly marks: Mark[] = []
  readonly said: string[] = []
  readonly #ask: Ask
  /** On the reference frame, without lens distortion; nothing: the whole picture. */
  readonly #outline: readonly Place[] | undefined
  /** About: a view of 53°. */
  readonly #focalPx: number
  #motion: Matrix = IDENTITY
  /** What was known of it on the frame on which it was seen last. */
  #known: Known
  /** px by which a place of the reference frame may lie off where the motion carries it now. */
  #spreadAt: (p: Place) => number = () => 0
  /** Motion to the frame of each look, by frame. */
  readonly #motions = new Map<number, Matrix>()
  readonly #elsewhere: Again
  readonly #past = new Past()
  #last: readonly Mark[] = []
  #first = 0
  #changed = 0
  #visible = 0
  /** Most that ever went together. */
  #best = 0
  #filled = 0

  constructor(ask: Ask, luma: Luma, outline: readonly Place[] | undefined) {
    this.#ask = ask
    this.#outline = outline
    const { width, height } = luma
    this.#focalPx = width
    const ends = outline ?? [ask.lens.straight([0, 0]), ask.lens.straight([width, height])]
    this.#known = { matrix: IDENTITY, placed: placedStill(squareAbout(ends)), frame: ask.reference }
    this.#elsewhere = new Again(ask, luma, outline)
    this.#refill(luma, ask.reference)
    this.#first = this.marks.length
    this.#last = this.marks
  }

  places(): readonly Place[] {
    return this.#last.map((m) => m.at)
  }

  next(luma: Luma, frame: number, step: Step): Outcome {
    let best: Outcome | undefined
    const jumped = this.#elsewhere.overJump(luma, step)
    for (const guess of [...(jumped ? [jumped] : []), ...this.#guesses(step, frame)]) {
      const outcome = this.#under(guess, luma, frame)
      if (outcome !== undefined) {
        best = outcome
        break
      }
    }
    if (best !== undefined) {
      this.#keepMarks(luma, frame, best)
      return best
    }
    const look = (found: Matrix | undefined) => found && this.#under(found, luma, frame)
    const again = look(this.#searched(luma, frame)) ?? look(this.#elsewhere.lookFor(luma))
    if (again !== undefined) {
      this.#keepMarks(luma, frame, again)
      return again
    }
    // Hidden: it goes on with the whole picture until it is seen again.
    const { motion } = step
    if (motion !== undefined) this.#motion = chained(motion, this.#motion)
    if (motion !== undefined && step.again) {
      this.#spreadAt = () => ROUGHLY
      this.#refill(luma, frame)
      this.said.push(
        `Over the jump on frame ${frame} it is carried by features of the whole picture, to some pixels.`,
      )
    }
    this.#last = this.marks.filter((m) => m.hidden < FRAMES)
    for (const m of this.#last) m.at = this.#ask.lens.filmed(through(this.#motion, m.from))
    return { frame, tried: this.#last.length, seen: 0, agree: 0, sharp: undefined, motion: undefined }
  }

  /** Motions that it may have now, the likeliest first. */
  #guesses({ places, motion }: Step, frame: number): Matrix[] {
    const { straight } = this.#ask.lens
    const own = this.#last.flatMap((m, i) => {
      const p = places[i]
      return p === undefined ? [] : [[m.from, straight(p), 1] as const]
    })
    const fit = commonMotion(this.#ask.vision, own, ROUGHLY, this.#before(frame))
    const guesses: Matrix[] = []
    if (fit !== undefined && fit.agree.filter(Boolean).length >= Math.max(LEAST, own.length / 3))
      guesses.push(fit.matrix)
    if (motion !== undefined) guesses.push(chained(motion, this.#motion))
    guesses.push(this.#motion)
    return guesses
  }

  /** Marks that went with the others most often, each looked for far around where it should lie: the motion that they agree on. */
  #searched(luma: Luma, frame: number): Matrix | undefined {
    const { vision, lens } = this.#ask
    const tries = this.#tries(this.#motion, luma, frame)
    const best = tries.toSorted((a, b) => b.mark.agreed - a.mark.agreed).slice(0, SEARCHED)
    const found = best.flatMap(({ mark, at, turn }) => {
      const { at: to, correlation } = foundAround(vision, luma, mark.look, turn, at, AROUND)
      return correlation >= ALIKE ? [[mark.from, lens.straight(to), 1] as const] : []
    })
    const fit = commonMotion(vision, found, ROUGHLY, this.#before(frame))
    const agree = fit?.agree.filter(Boolean).length ?? 0
    return agree >= LEAST ? fit?.matrix : undefined
  }

  /** What is seen where `guess` puts the marks; nothing where too few agree. */
  #under(guess: Matrix, luma: Luma, frame: number): Outcome | undefined {
    const tries = this.#tries(guess, luma, frame)
    if (tries.length < 3) return undefined
    const sights = lookFor(this.#ask.vision, luma, tries, this.#ask.noise)
    const seen = sights.flatMap((s, i) => {
      const ok = s !== undefined && s.back <= CLOSES && s.alike >= ALIKE && Number.isFinite(s.spread)
      return ok ? [{ mark: (tries[i] as Try).mark, sight: s, at: this.#ask.lens.straight(s.at) }] : []
    })
    const marks = seen.map(({ mark }) => mark)
    const shares = sharesOf(marks)
    const taken = takenAt(marks, shares)
    const spreads = seen.map(({ sight: { spread, shape } }, i) =>
      widened({ spread, weighing: { shape, share: shares[i] as number } }, taken[i] as number),
    )
    const off = Math.max(OFF, SPREADS * middle(seen.map((s) => s.sight.spread)))
    const pairs = seen.map(({ mark, at }, i): Pair => {
      const { spread, weighing } = spreads[i] as Spread
      return [mark.from, at, spread, weighing]
    })
    const fit = commonMotion(this.#ask.vision, pairs, off, this.#before(frame))
    const agree = fit?.agree.filter(Boolean).length ?? 0
    if (fit === undefined || agree < this.#enough(tries.length)) return undefined
    this.#motion = fit.matrix
    this.#known = { matrix: fit.matrix, placed: fit.placed, frame }
    this.#spreadAt = fit.spreadAt
    for (const { mark } of tries) mark.hidden++
    const astray = astrayOf(
      seen.map(({ mark, at }, i) => ({
        agrees: fit.agree[i] === true,
        known: mark.agreed >= KNOWN,
        share: shares[i] as number,
        off: apart(through(fit.matrix, mark.from), at),
      })),
    )
    const uneven =
      this.#outline === undefined
        ? unevenOf(
            seen
              .filter(({ mark }) => mark.agreed > 0)
              .map(({ mark, sight, at }) => {
                const [x, y] = through(fit.matrix, mark.from)
                return { at: sight.at, off: [at[0] - x, at[1] - y] }
              }),
            luma,
          )
        : undefined
    const last: Mark[] = []
    seen.forEach(({ mark, sight, at }, i) => {
      if (fit.agree[i] !== true) {
        mark.strayed++
        return
      }
      mark.agreed++
      mark.hidden = 0
      mark.at = sight.at
      mark.seen.push({ frame, at, ...(spreads[i] as Spread) })
      last.push(mark)
    })
    this.#last = last
    const sharp = middle(seen.filter((_, i) => fit.agree[i]).map((s) => s.sight.sharp))
    return { frame, tried: tries.length, seen: seen.length, agree, astray, uneven, sharp, motion: fit.matrix }
  }

  #enough(tried: number): number {
    return Math.max(Math.min(LEAST, tried), Math.min(SHARE * tried, KEPT * this.#last.length))
  }

  #before(frame: number): Before {
    const { matrix, placed, frame: last } = this.#known
    return { matrix, placed, gap: Math.abs(frame - last), focalPx: this.#focalPx }
  }

  /** Marks that lie in the picture and about as large as they looked: those that were seen last, oldest looks first. */
  #tries(motion: Matrix, luma: Luma, frame: number): Try[] {
    const { lens } = this.#ask
    const between = new Map<number, (p: Place) => Place>()
    for (const [taken, own] of this.#motions) {
      const onward = chained(motion, inverse(own))
      between.set(taken, (p) => lens.filmed(through(onward, lens.straight(p))))
    }
    const tries: Try[] = []
    this.#visible = 0
    for (const [i, mark] of this.marks.entries()) {
      if (mark.agreed === 0 && mark.hidden > RESTS) continue
      const at = lens.filmed(through(motion, mark.from))
      if (!inFrame(at, luma, MARGIN + mark.look.window / 4)) continue
      const turn = turnAt(between.get(mark.look.frame) ?? ((p) => p), mark.look.at)
      const size = growth(turn)
      if (size < 1 / GROWN || size > GROWN) continue
      this.#visible++
      if (mark.hidden < RESTS || (frame + i) % RESTS === 0) tries.push({ mark, at, turn })
    }
    const seenLast = (t: Try) => (t.mark.hidden <= 1 ? 0 : 1)
    return tries.sort((a, b) => seenLast(a) - seenLast(b)).slice(0, MOST)
  }

  #keepMarks(luma: Luma, frame: number, { agree }: Outcome): void {
    this.#elsewhere.seen()
    for (const m of this.marks) if (m.strayed > STRAYS && m.strayed > m.agreed) m.hidden = RESTS
    this.#best = Math.max(this.#best, agree)
    this.#changed = agree < CHANGED * this.#best ? this.#changed + 1 : 0
    const changed = this.#changed >= FRAMES && Math.abs(frame - this.#filled) > PATIENCE
    if (changed)
      this.said.push(
        `Much of it no longer looks as it did on frame ${frame}: places of that frame are followed as well from there on.`,
      )
    if (changed || this.#visible < REFILL * Math.min(MOST, this.#first)) this.#refill(luma, frame)
    this.#past.keep(luma, frame, this.#motion)
  }

  /** New marks where there are none, on a frame whose motion is known. */
  #refill(luma: Luma, frame: number): void {
    const { vision, lens, noise } = this.#ask
    const motion = this.#motion
    this.#filled = frame
    this.#changed = 0
    this.#motions.set(frame, motion)
    const back = inverse(motion)
    const from = (p: Place) => through(back, lens.straight(p))
    const outline = this.#outline
    const taken = this.#last.map((m) => m.at)
    const all = { x: 0, y: 0, width: luma.width, height: luma.height }
    const bounds = outline === undefined ? all : boundsOf(outline.map((p) => lens.filmed(through(motion, p))))
    const room = Math.min(bounds.width, bounds.height) / 20
    const places = findPlaces(
      vision,
      luma,
      noise,
      bounds,
      (p) =>
        inFrame(p, luma, 2 * MARGIN) &&
        (outline === undefined || inside(outline, from(p))) &&
        taken.every((t) => apart(t, p) > room),
    )
    const found = places.map(({ at, window }) => {
      const p = from(at)
      return newMark(p, lookAt(luma, frame, at, window), this.#spreadAt(p))
    })
    this.marks.push(...this.#past.borneOut(this.#ask, found, motion, OFF, LEAST))
  }
}
