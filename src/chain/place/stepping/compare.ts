/**
 * Stepping: an element that moves by whole pixels, or stands and jumps, while the plate moves smoothly; and pictures of its own that
 * are held longer than its rate says.
 *
 * By whole pixels: every step of the placement is within 0.02 px of a whole number along both axes, while the plate's own steps are
 * not (of those, two thirds lie further than 0.1 px from one by chance). Standing: on a third of the frames or more it does not move
 * at all although its ground goes 0.15 px or more, and on others it does. Held: of the changes from picture to picture that the rate
 * lets expect, a sixth or more do not happen. All limits are choices.
 */
import type { Region } from '../../../core/index.js'
import type { Comparison, Verdict } from '../../compare.js'
import { long, nearest, type Span, type Way2 } from '../slide/model.js'

const WHOLE = 0.02
const PARTED = 0.1
const STANDS = 0.01
const GOES = 0.15
const STANDING = 1 / 3
const HELD = 1 / 6
const LEAST = 8

/** From one frame to the next: how the placement moved, and how the ground did, px. */
export interface Step {
  readonly frame: number
  readonly placed: Way2
  readonly plate: Way2
}

/** From one picture of the element to the next one. */
export interface Change {
  readonly frame: number
  /** Whether another picture is due. */
  readonly due: boolean
  /** Whether the picture is another one. */
  readonly changed: boolean
  /** Whether the plate's picture is another one. */
  readonly plateChanged: boolean
}

interface Where {
  readonly name: string
  readonly regionAt: (frame: number) => Region
}

type Steps = Where & { readonly steps: readonly Step[] }
type Changes = Where & { readonly changes: readonly Change[] }

/** Where it is put. */
export function compareSteps(l: Steps): Comparison {
  const going = l.steps.filter((s) => long(s.plate) >= GOES)
  const goes = l.steps.filter((s) => long(s.placed) >= STANDS)
  const stand = going.filter((s) => long(s.placed) < STANDS)
  const share = (n: number, of: number) => [of === 0 ? 0 : n / of]
  return said(wholePixels(l) ?? standing(l), {
    groundGoes: share(going.length, l.steps.length),
    placeGoes: share(goes.length, l.steps.length),
    stands: share(stand.length, going.length),
  })
}

/** What it shows. */
export function compareHeld(l: Changes): Comparison {
  return said(held(l))
}

function said(v: Verdict | undefined, measured: Comparison['measured'] = {}): Comparison {
  return { verdicts: v === undefined ? [] : [v], undecided: [], measured }
}

/** Frame to frame, from the spans over which the plate was followed about the anchor. */
export function stepsOf(spans: readonly Span[]): Step[] {
  return spans.flatMap(({ frames, grounds }) => {
    const ground = nearest(grounds)
    if (ground === undefined) return []
    const { off, way } = ground
    return frames.slice(1).map((frame, i): Step => {
      const [p, q] = [way[i] as Way2, way[i + 1] as Way2]
      const [r, s] = [off[i] as Way2, off[i + 1] as Way2]
      const plate: Way2 = [q[0] - p[0], q[1] - p[1]]
      return { frame, plate, placed: [plate[0] + s[0] - r[0], plate[1] + s[1] - r[1]] }
    })
  })
}

function wholePixels(l: Steps): Verdict | undefined {
  const moved = l.steps.filter((s) => long(s.placed) > 0)
  const parted = l.steps.filter((s) => s.plate.some((v) => apart(v) > PARTED))
  if (moved.length < LEAST || parted.length < l.steps.length / 2) return undefined
  if (!l.steps.every((s) => s.placed.every((v) => apart(v) < WHOLE))) return undefined
  const error = Math.sqrt(
    l.steps.reduce((sum, s) => sum + long([s.placed[0] - s.plate[0], s.placed[1] - s.plate[1]]) ** 2, 0) /
      l.steps.length,
  )
  return {
    ...shared(
      l,
      moved.map((s) => s.frame),
    ),
    unit: 'px',
    measured: 1,
    expected: 0,
    limit: WHOLE,
    sentence: `${l.name} moves by whole pixels while the plate moves smoothly: ${error.toFixed(2)} px off from frame to frame.`,
    cause: 'Its positions were rounded.',
    remedy: 'Keep the parts of a pixel in its keys, or let it follow a track.',
    contrast: 1 + error,
  }
}

function standing(l: Steps): Verdict | undefined {
  const going = l.steps.filter((s) => long(s.plate) >= GOES)
  const still = going.filter((s) => long(s.placed) < STANDS)
  const moves = going.length - still.length
  if (going.length < LEAST || moves < LEAST / 4 || still.length < STANDING * going.length) return undefined
  // One stretch of rest is a key that ends, not a step.
  const rests = still.filter((s) => !still.some((t) => t.frame === s.frame - 1)).length
  if (rests < LEAST / 3) return undefined
  const share = still.length / going.length
  return {
    ...shared(
      l,
      still.map((s) => s.frame),
    ),
    unit: 'share',
    measured: share,
    expected: 0,
    limit: STANDING,
    sentence: `${l.name} moves in steps: on ${still.length} of ${going.length} frames it stands still while the plate goes on, and then jumps.`,
    cause: `Its place changes about every ${Math.round(going.length / Math.max(moves, 1))} frames: keys or a track of another rate.`,
    remedy: 'Set keys that run on between the frames, or follow the track at the rate of the plate.',
    contrast: share / STANDING,
  }
}

function held(l: Changes): Verdict | undefined {
  const due = l.changes.filter((c) => c.due && c.plateChanged)
  const missing = due.filter((c) => !c.changed)
  const [share, changed] = [missing.length / due.length, due.length - missing.length]
  if (due.length < LEAST || changed < LEAST / 2 || missing.length < 3 || share < HELD) return undefined
  // At its end or its beginning a picture may stand: only rests between changes are steps.
  const inside = missing.filter(
    (m) => due.some((c) => c.changed && c.frame < m.frame) && due.some((c) => c.changed && c.frame > m.frame),
  )
  if (inside.length < 3 || inside.length / due.length < HELD) return undefined
  return {
    ...shared(
      l,
      inside.map((c) => c.frame),
    ),
    unit: 'share',
    measured: share,
    expected: 0,
    limit: HELD,
    sentence: `${l.name} stutters: ${inside.length} of its ${due.length} pictures are the one before once more, while the plate runs on.`,
    cause:
      'Its file holds each of these pictures twice: it was made at a lower rate, or turned into another one, than its own rate says.',
    remedy: 'Say its true rate (`rate`), or have the doubled pictures taken out.',
    contrast: share / HELD,
  }
}

function shared(l: Where, frames: readonly number[]) {
  const region = l.regionAt(frames[frames.length >> 1] as number)
  return { tell: 'stepping', link: 'place', frames, region, confidence: 0.8 }
}

/** From the nearest whole number. */
function apart(v: number): number {
  return Math.abs(v - Math.round(v))
}
