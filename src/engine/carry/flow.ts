/**
 * How an outline's points move from frame to frame: as what lies inside it does, for that is what the outline belongs to.
 *
 * Held are places within the outline that can be told from their neighbours. Each is followed there and back (pyramidal
 * Lucas–Kanade), and a point of the outline goes with those nearest to it, by the similarity that most of them agree with. Places
 * that are found on the way count only after they have gone with the others for some frames: what passes before the shape has
 * places of its own, and those go elsewhere. Where there was no texture near a point when the outline was drawn, it goes with the
 * dense flow just inside it (Farneback), there and back. Where there was some and it is gone, something hides it: then it goes
 * as the nearest that are left have gone since the key, and is known the worse the farther these are and the less they agree. Places that are hidden wake where they look again
 * as they did.
 *
 * Sources: [lucas1981], [bouguet2001], [farneback2003]; the figures below are choices.
 */

import { affine, similarity, translation } from '../../chain/place/motion/fit/models.js'
import { pairsOf } from '../../chain/place/motion/fit/pairs.js'
import { robustMotion } from '../../chain/place/motion/fit/robust.js'
import { IDENTITY } from '../../chain/place/motion/matrix.js'
import type { DrawnKey, Flow, Flowed } from '../../chain/place/shape/carry.js'
import { followBoth, type Place, type Vision } from '../../vision/index.js'
import { boundsOf } from '../track/find.js'
import type { Luma } from '../track/luma.js'
import { apart, through } from '../track/matrix.js'
import type { Turn } from '../track/patch.js'
import { type Asleep, dreamt, fallAsleep, woken } from './asleep.js'
import { denseBoth } from './dense.js'
import { type Crop, cropOf, inwards, placesWithin } from './inside.js'
import { likeness } from './likeness.js'

/** Side of the squares that are compared, px, and halvings of the picture. */
const LOOK = { window: 15, levels: 4 }
const NARROW = { window: 11, levels: 0 }
/** A way back that ends farther from where it began is none, px. */
const CLOSES = 0.7
/** A place that looks less like itself on the frame before is hidden or blurred: correlation of the squares. */
const ALIKE = 0.9
/** Places that a point of the outline goes with; where it is hidden, that is from farther away. */
const NEIGHBOURS = 10
const FAR_NEIGHBOURS = 40
/** Texture nearer than this is texture near a point, px. */
const NEAR = 40
/** Fewer places than this near a point say nothing of it. */
const ENOUGH = 4
/** Least share of the places near a point that must be left, against that of all, or it is hidden. */
const LEFT = 0.4
/** Standard deviation of one place's step, px. */
const OWN = 0.15
/** By so much worse is a point known for each pixel that its neighbours are away. */
const PER_PX = 0.01
/** How far the dense flow may lie from the rest, of its spreads. */
const AGREES = 3
/** Frames that a place which was found on the way goes along before it counts, and how near to the others it must stay, px. */
const PROBATION = 4
const WITH = 1
/** So many of them for one that was hidden and looks again as it did. */
const WOKEN = 2
/** One that counts goes when it is so far from the others, px. */
const ASTRAY = 3
/** Room around the outline that is looked at, px: what moves farther than this in a frame is not found. */
const ROOM = 96

interface Held {
  /** Where it lay on the key; undefined of one that was found on the way. */
  born?: Place | undefined
  at: Place
  /** Its step to this frame; the next begins with it. */
  by: Place
  /** Frames that it went with the others; it counts from PROBATION on. */
  along: number
  /** Of one that was hidden: until it counts again it may fall asleep once more as it was. */
  woke?: Asleep
}

/**
 * @param pictures of the plate, by the shot's frames
 * @param outlineOf the outline through points, px; both in the plate's pixels as filmed
 * @returns what `carryShape` asks for at the begin of each way
 */
export function outlineFlow(
  vision: Vision,
  pictures: (frame: number) => Promise<Luma>,
  outlineOf: (points: readonly Place[]) => Place[],
): (from: DrawnKey) => Promise<Flow> {
  return async (key) => {
    const start = outlineOf(key.points)
    const first = cropOf(await pictures(key.frame), boundsOf(start), ROOM)
    let held: Held[] = placesWithin(vision, first, start, []).map((at) => ({
      ...{ born: at, at },
      by: [0, 0],
      along: PROBATION,
    }))
    const near = (p: Place, of: readonly Held[]) => of.filter((h) => apart(h.at, p) < NEAR).length
    const had = key.points.map((p) => near(p, held))
    const all = held.length
    const bare = had.map((n) => n < ENOUGH)
    let asleep: Asleep[] = []
    return async (points, from, to) => {
      const outline = outlineOf(points)
      const before = await pictures(from)
      const bounds = boundsOf(outline)
      const [a, b] = [cropOf(before, bounds, ROOM), cropOf(await pictures(to), bounds, ROOM)]
      const moved = followed(vision, a, b, held, to)
      const known = moved.filter((m) => m.held.along >= PROBATION)
      const sound = known.map((m) => m.held)
      const hidden = points.map((p, i) => {
        const left = near(p, sound)
        return !bare[i] && left < ENOUGH && left * all < LEFT * (had[i] as number) * sound.length
      })
      const steps: (Flowed | undefined)[] = points.map((p, i) => {
        if (hidden[i]) return sinceKey(key.points[i] as Place, known, to)
        const step = stepOf(p, known, to, NEIGHBOURS)
        return step && { to: step.to, spreadPx: step.spreadPx }
      })
      const on = kept(moved, known, to)
      const lost = held.flatMap((h) => {
        if (on.has(h)) return []
        return h.along >= PROBATION ? [fallAsleep(before, h)] : h.woke === undefined ? [] : [h.woke]
      })
      held = [...on.values()]
      asleep = [...asleep, ...lost].flatMap((one) => {
        const step = stepOf(one.at, known, to, FAR_NEIGHBOURS)
        if (step === undefined) return []
        const next = dreamt(one, step.to, step.turn)
        const at = woken(vision, next, b)
        if (at === undefined) return [next]
        const by = [step.to[0] - one.at[0], step.to[1] - one.at[1]] as const
        held.push({ born: one.born, at, by, along: PROBATION - WOKEN, woke: next })
        return []
      })
      plainSteps(vision, [a, b], outline, points, bare).forEach((d, i) => {
        const step = steps[i]
        const [x, y] = points[i] as Place
        if (d === undefined || (step !== undefined && d.spreadPx >= step.spreadPx)) return
        const to: Place = [x + d.by[0], y + d.by[1]]
        // Flat places go with anything: the dense flow must not speak against the rest.
        if (step === undefined || apart(step.to, to) <= AGREES * step.spreadPx)
          steps[i] = { to, spreadPx: d.spreadPx }
      })
      const there = outlineOf(points.map((p, i) => steps[i]?.to ?? p))
      const fresh = placesWithin(
        vision,
        b,
        there,
        held.map((h) => h.at),
      )
      held.push(...fresh.map((at): Held => ({ at, by: nearestStep(at, held), along: 0 })))
      return steps
    }
  }
}

/** By the dense flow just inside the outline, for the points that are asked for. */
function plainSteps(
  vision: Vision,
  [a, b]: readonly [Crop, Crop],
  outline: readonly Place[],
  points: readonly Place[],
  asked: readonly boolean[],
): Map<number, { readonly by: Place; readonly spreadPx: number } | undefined> {
  const of = points.flatMap((_, i) => (asked[i] ? [i] : []))
  if (of.length === 0) return new Map()
  const places = of.map((i) => inwards(outline, points[i] as Place))
  const found = denseBoth(vision, a, b, places)
  return new Map(of.map((i, k) => [i, found[k]]))
}

interface Moved {
  readonly held: Held
  readonly from: Place
  readonly to: Place
}

/** Each from its own last step; those that were lost or went elsewhere once more from where the others say, at the full size alone. */
function followed(vision: Vision, a: Crop, b: Crop, held: readonly Held[], frame: number): Moved[] {
  const first = looked(
    vision,
    a,
    b,
    held,
    held.map((h) => h.by),
    LOOK,
  )
  const known = first.filter((m) => m.held.along >= PROBATION)
  const there = new Map(first.map((m) => [m.held, m]))
  const again = held.flatMap((one) => {
    const m = there.get(one)
    const others = stepOf(
      one.at,
      known.filter((k) => k.held !== one),
      frame,
      NEIGHBOURS,
    )
    if (others === undefined || (m !== undefined && apart(others.to, m.to) <= WITH)) return []
    return [{ one, by: [others.to[0] - one.at[0], others.to[1] - one.at[1]] as const }]
  })
  const second = looked(
    vision,
    a,
    b,
    again.map((x) => x.one),
    again.map((x) => x.by),
    NARROW,
  )
  for (const m of second) there.set(m.held, m)
  return held.flatMap((one) => there.get(one) ?? [])
}

function looked(
  vision: Vision,
  a: Crop,
  b: Crop,
  held: readonly Held[],
  by: readonly Place[],
  look: typeof LOOK,
): Moved[] {
  const inA = held.map(({ at: [x, y] }): Place => [x - a.x, y - a.y])
  const begins = held.map(({ at: [x, y] }, i): Place => {
    const [u, v] = by[i] as Place
    return [x + u - b.x, y + v - b.y]
  })
  return followBoth(vision, a.grey, b.grey, inA, begins, look).flatMap(({ at: [x, y], back }, i) => {
    const one = held[i] as Held
    if (!(back <= CLOSES) || likeness(a.grey, inA[i] as Place, b.grey, [x, y]) < ALIKE) return []
    return [{ held: one, from: one.at, to: [x + b.x, y + b.y] as Place }]
  })
}

/** With what is nearest; undefined where nothing is left. */
function stepOf(
  p: Place,
  known: readonly Moved[],
  frame: number,
  count: number,
): { to: Place; spreadPx: number; turn: Turn } | undefined {
  const near = known.toSorted((m, n) => apart(m.from, p) - apart(n.from, p)).slice(0, count)
  if (near.length === 0) return undefined
  const away = near.reduce((sum, m) => sum + apart(m.from, p), 0) / near.length
  const pairs = pairsOf(near.map((m) => [m.from, m.to, OWN]))
  const fit = robustMotion(near.length >= 4 ? similarity : translation, pairs, IDENTITY, frame)
  if (fit === undefined) return undefined
  const rest = Math.max(1, fit.rmsPx / OWN)
  const own = rest * Math.sqrt(fit.varianceAt(...p))
  const [m0, m1, , m3, m4] = fit.matrix
  const spreadPx = Math.sqrt(own * own + (PER_PX * away) ** 2)
  return { to: through(fit.matrix, p), spreadPx, turn: [m0, m1, m3, m4] }
}

/** Where a hidden point lies: as what is left of the shape has gone since the key, so that nothing adds up. */
function sinceKey(p: Place, known: readonly Moved[], frame: number): Flowed | undefined {
  const old = known.flatMap((m) => (m.held.born ? [{ from: m.held.born, to: m.to }] : []))
  const near = old.toSorted((m, n) => apart(m.from, p) - apart(n.from, p)).slice(0, FAR_NEIGHBOURS)
  if (near.length < 4) return undefined
  const fit = robustMotion(
    near.length >= 8 ? affine : similarity,
    pairsOf(near.map((m) => [m.from, m.to, OWN])),
    IDENTITY,
    frame,
  )
  if (fit === undefined) return undefined
  const away = near.slice(0, 4).reduce((sum, m) => sum + apart(m.from, p), 0) / 4
  const rest = Math.max(OWN, fit.rmsPx)
  const own = (rest / OWN) ** 2 * fit.varianceAt(...p)
  const spreadPx = Math.sqrt(own + (rest * (1 + away / NEAR)) ** 2)
  return { to: through(fit.matrix, p), spreadPx, hidden: true }
}

/** Those that go on, by what they were: they went where the others say, within what is allowed. */
function kept(moved: readonly Moved[], known: readonly Moved[], frame: number): Map<Held, Held> {
  const on = new Map<Held, Held>()
  for (const m of moved) {
    const rest = known.filter((k) => k !== m)
    const others = stepOf(m.from, rest, frame, NEIGHBOURS)
    const off = others === undefined ? 0 : apart(others.to, m.to)
    const counts = m.held.along >= PROBATION
    if (off > (counts ? ASTRAY : WITH)) continue
    const sure = others !== undefined && others.spreadPx < WITH
    const along = sure ? Math.min(PROBATION, m.held.along + 1) : m.held.along
    const by = [m.to[0] - m.from[0], m.to[1] - m.from[1]] as const
    const woke = m.held.woke
    const next = woke && others && dreamt(woke, others.to, others.turn)
    on.set(m.held, {
      born: m.held.born,
      at: m.to,
      by,
      along,
      ...(next && along < PROBATION ? { woke: next } : {}),
    })
  }
  return on
}

function nearestStep(at: Place, held: readonly Held[]): Place {
  let [least, by]: [number, Place] = [Number.POSITIVE_INFINITY, [0, 0]]
  for (const h of held) {
    const d = apart(h.at, at)
    if (d < least) [least, by] = [d, h.by]
  }
  return by
}
