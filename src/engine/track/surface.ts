/**
 * What bends within an outline: cloth, skin. Many marks are looked for where the last frame's surface and the small pictures put
 * them, each drawn turned and sheared as the surface lies there; a smooth surface through those that are seen says where the rest
 * must lie, and all are looked for once more. Marks are compared with the reference frame itself, so that nothing adds up.
 */

import { PLAIN, pairsOf } from '../../chain/place/motion/fit/pairs.js'
import { IDENTITY } from '../../chain/place/motion/matrix.js'
import { type BentMotion, bentAt } from '../../chain/place/motion/mesh.js'
import { fitSurface, LEAST_POINTS } from '../../chain/place/motion/surface/fit.js'
import { meshOver, nodeAt, nodeCount } from '../../chain/place/motion/surface/grid.js'
import { affineOf, type Matrix, type Place } from '../../vision/index.js'
import { boundsOf, findPlaces, inside } from './find.js'
import { ALIKE, type Ask, CLOSES, type Follower, inFrame, type Outcome } from './follower.js'
import { type Luma, levelled } from './luma.js'
import { lookAt, type Mark, newMark } from './mark.js'
import { apart, growth, middle, through } from './matrix.js'
import { cut } from './patch.js'
import type { Step } from './scene.js'
import { lookFor, type Sight, type Try } from './sheet.js'
import { eigenvalues, noiseOf, spreadOf, WINDOWS } from './texture.js'
import { turnAt } from './turn.js'

/** Stiffness while it is followed, px⁻²; what the surface is in the end is solved anew from all that was seen. Rough places bear less. */
const STIFF = 30
const STIFF_ROUGHLY = 3000
/** What the small pictures say is off by about that much, px. */
const ROUGHLY = 1
/** A surface counts when so many marks go with it, and this share of those looked for. */
const LEAST = LEAST_POINTS
const SHARE = 0.2
/** px that a mark may be off the surface to be told of at all: what is wrong by less is judged later. */
const OFF = 3
/** A look drawn this much larger or smaller is no longer the same look. */
const GROWN = 1.8
/** Sides of the squares that are compared, px, and the spread that is well enough, px. */
const SMALL_WINDOWS = WINDOWS.slice(0, 2)
const SURE = 0.2
/** Room that a mark needs to the picture's border, px. */
const MARGIN = 6
/** px that places of a bent surface may be off the plane that it bends from. */
const BENDS = 6
/** Spreads of marks are taken for no less, px. */
const LEAST_SPREAD = 0.02

interface Found {
  readonly mark: Mark
  readonly sight: Sight
  readonly at: Place
}

export class SurfaceFollower implements Follower {
  readonly marks: readonly Mark[]
  readonly said: string[] = []
  readonly #ask: Ask
  /** From the reference frame to the last one that was looked at. */
  #surface: BentMotion
  #last: readonly Mark[]

  constructor(ask: Ask, filmed: Luma, outline: readonly Place[]) {
    const { vision, lens, reference } = ask
    const luma = levelled(filmed)
    const noise = noiseOf(luma)
    this.#ask = { ...ask, noise }
    const mesh = meshOver(outline)
    this.#surface = { matrix: IDENTITY, mesh, nodes: new Float64Array(2 * nodeCount(mesh)) }
    const within = (p: Place) => inFrame(p, luma, 2 * MARGIN) && inside(outline, lens.straight(p))
    const bounds = boundsOf(outline.map((p) => lens.filmed(p)))
    this.marks = findPlaces(vision, luma, noise, bounds, within).flatMap(({ at }) => {
      const window = windowFor(luma, at, noise)
      return window === undefined ? [] : [newMark(lens.straight(at), lookAt(luma, reference, at, window))]
    })
    this.#last = this.marks
  }

  places(): readonly Place[] {
    return this.#last.map((m) => m.at)
  }

  next(filmed: Luma, frame: number, step: Step): Outcome {
    const luma = levelled(filmed)
    for (const guess of this.#guesses(step)) {
      const first = this.#seenUnder(guess, luma)
      const surface = this.#through(first.found, STIFF, guess)
      if (surface === undefined || first.found.length < SHARE * first.tried) continue
      const again = this.#seenUnder(surface, luma)
      const last = this.#through(again.found, STIFF, surface)
      if (last !== undefined) return this.#keep(last, again.found, again.tried, frame)
    }
    this.#surface = movedOn(this.#surface, step.motion)
    for (const m of this.marks) {
      m.hidden++
      m.at = this.#filmed(this.#surface, m.from)
    }
    this.#last = this.marks
    return { frame, tried: this.marks.length, seen: 0, agree: 0, sharp: undefined, motion: undefined }
  }

  /** Surfaces that it may be now, the likeliest first. */
  #guesses({ places, motion }: Step): BentMotion[] {
    const { straight } = this.#ask.lens
    const pairs = this.#last.flatMap((m, i) => {
      const p = places[i]
      return p === undefined ? [] : [{ from: m.from, to: straight(p), spread: ROUGHLY }]
    })
    const rough = this.#fitted(pairs, STIFF_ROUGHLY)
    const guesses = [movedOn(this.#surface, motion), this.#surface]
    if (rough === undefined) return guesses
    return [rough, ...guesses]
  }

  #seenUnder(surface: BentMotion, luma: Luma): { found: Found[]; tried: number } {
    const { vision, noise, lens } = this.#ask
    const carried = (p: Place) => this.#filmed(surface, lens.straight(p))
    const tries = this.marks.flatMap((mark): Try[] => {
      const at = this.#filmed(surface, mark.from)
      if (!inFrame(at, luma, MARGIN + mark.look.window / 4)) return []
      const turn = turnAt(carried, mark.look.at)
      const size = growth(turn)
      return size < 1 / GROWN || size > GROWN ? [] : [{ mark, at, turn }]
    })
    const found = lookFor(vision, luma, tries, noise).flatMap((sight, i): Found[] => {
      const ok =
        sight !== undefined && sight.back <= CLOSES && sight.alike >= ALIKE && Number.isFinite(sight.spread)
      return ok ? [{ mark: (tries[i] as Try).mark, sight, at: lens.straight(sight.at) }] : []
    })
    return { found, tried: tries.length }
  }

  #through(found: readonly Found[], stiff: number, or: BentMotion): BentMotion | undefined {
    if (found.length < LEAST) return undefined
    const pairs = found.map(({ mark, at, sight }) => ({ from: mark.from, to: at, spread: sight.spread }))
    return this.#fitted(pairs, stiff) ?? or
  }

  #fitted(
    pairs: readonly { from: Place; to: Place; spread: number }[],
    stiff: number,
  ): BentMotion | undefined {
    const { mesh } = this.#surface
    const from = pairs.map((p) => p.from)
    const to = pairs.map((p) => p.to)
    const plane = affineOf(this.#ask.vision, from, to, BENDS)?.matrix ?? IDENTITY
    const own = pairs.map((p) => [p.from, p.to, Math.max(p.spread, LEAST_SPREAD)] as const)
    const fit = fitSurface(mesh, plane, pairsOf(own), stiff)
    return fit && { matrix: plane, mesh, nodes: fit.nodes }
  }

  #keep(surface: BentMotion, found: readonly Found[], tried: number, frame: number): Outcome {
    this.#surface = surface
    const going = found.filter(({ mark, at }) => apart(bentAt(surface, ...mark.from), at) <= OFF)
    for (const m of this.marks) {
      m.hidden++
      m.at = this.#filmed(surface, m.from)
    }
    for (const { mark, sight, at } of going) {
      mark.hidden = 0
      mark.agreed++
      mark.at = sight.at
      mark.seen.push({ frame, at, spread: Math.max(sight.spread, LEAST_SPREAD), weighing: PLAIN })
    }
    this.#last = this.marks
    const sharp = middle(going.map((f) => f.sight.sharp))
    return { frame, tried, seen: found.length, agree: going.length, sharp, motion: undefined }
  }

  #filmed(surface: BentMotion, p: Place): Place {
    return this.#ask.lens.filmed(bentAt(surface, ...p))
  }
}

/** The least window that finds a place on something flat well enough: across a larger one the surface bends. */
function windowFor(luma: Luma, at: Place, noise: number): number | undefined {
  return SMALL_WINDOWS.find((window) => {
    const { data, size } = cut(luma, at, window + 2)
    return spreadOf(noise, eigenvalues(data, size, window, noise)[1]) <= SURE
  })
}

/** The surface as the whole picture has moved it on. */
function movedOn(surface: BentMotion, motion: Matrix | undefined): BentMotion {
  if (motion === undefined) return surface
  const { mesh } = surface
  const nodes = new Float64Array(2 * nodeCount(mesh))
  for (let k = 0; 2 * k < nodes.length; k++) {
    const p = nodeAt(mesh, k)
    const [x, y] = through(motion, bentAt(surface, ...p))
    nodes[2 * k] = x - p[0]
    nodes[2 * k + 1] = y - p[1]
  }
  return { matrix: IDENTITY, mesh, nodes }
}
