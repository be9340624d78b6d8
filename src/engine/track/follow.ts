/** Follows tracks over a plate's frames: where each of their marks was seen, and what is to be said of it. */

import type { Astray, Uneven } from '../../chain/place/motion/seen.js'
import { LEAST_POINTS } from '../../chain/place/motion/surface/fit.js'
import { type PictureJump, pictureJumpSaid } from '../../chain/place/motion/words.js'
import { Problem, type ProblemDetail } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { openVision, type Place, type Vision } from '../../vision/index.js'
import { beyondSpreads } from './beyond.js'
import { boundsOf } from './find.js'
import { type Ask, BLURRED, type Correction, type Follower, type Outcome } from './follower.js'
import { pictureJumps } from './jumps.js'
import type { Lens } from './lens.js'
import { type Luma, lumaOf } from './luma.js'
import { lookAt, type Mark, newMark } from './mark.js'
import { PlaneFollower } from './plane.js'
import { PointsFollower } from './points.js'
import type { Evidence } from './solve.js'
import { SurfaceFollower } from './surface.js'
import { type Course, passLength, type Swept, sweep } from './sweep.js'
import { chooseWindow, noiseOf, windowsAlone } from './texture.js'
import { widened } from './weigh.js'

/** A track as it is to be followed. */
export interface Wanted {
  readonly id: string
  readonly reference: number
  readonly first: number
  readonly count: number
  readonly points?: readonly Place[] | undefined
  readonly region?: readonly Place[] | undefined
  /** What is within the region bends. */
  readonly bends?: boolean | undefined
  readonly corrections?: readonly Correction[] | undefined
}

export interface Followed {
  readonly evidence: Evidence
  readonly said: readonly string[]
}

/** Marks of a region that are needed at least: below, its motion rests on chance. A bend needs more. */
const LEAST_MARKS = 4
const BENDING_MARKS = 2 * LEAST_POINTS
/** Marks are told of no more than that, those first that were seen longest. */
const TOLD = 400

/**
 * @param first plate frame of the shot's frame 0
 * @param onFrame told after each frame of `total`; what it throws ends the work
 * @throws Problem `track.nothing-to-follow` with a fault for each track that has nothing to hold on to, before anything is followed
 */
export async function followTracks(
  source: Source,
  first: number,
  wanted: readonly Wanted[],
  lens: Lens,
  onFrame: (done: number, total: number) => void,
): Promise<Followed[]> {
  const vision = await openVision()
  const courses = await ready(vision, source, first, wanted, lens)
  const total = passLength(courses, 1) + passLength(courses, -1)
  let done = 0
  const one = () => onFrame(++done, total)
  const clip = { source, first }
  const forward = await sweep(vision, clip, courses, 1, one)
  const backward = await sweep(vision, clip, courses, -1, one)
  const { width, height } = source.info
  const jumps = pictureJumps(
    [forward, backward].flatMap((p) => p.passages),
    { width, height },
  )
  return wanted.map((w, i) => followed(w, i, [forward, backward], jumps))
}

async function ready(
  vision: Vision,
  source: Source,
  first: number,
  wanted: readonly Wanted[],
  lens: Lens,
): Promise<Course[]> {
  const lumas = new Map<number, { luma: Luma; noise: number }>()
  const faults: ProblemDetail[] = []
  const courses: Course[] = []
  for (const w of wanted) {
    const held = lumas.get(w.reference) ?? (await referenceOf(source, first + w.reference))
    lumas.set(w.reference, held)
    const ask: Ask = {
      ...{ vision, lens, noise: held.noise, reference: w.reference, corrections: w.corrections ?? [] },
    }
    const fault = faultOf(ask, w, held.luma)
    if (fault !== undefined) faults.push(...fault)
    const last = w.first + w.count - 1
    courses.push({ reference: w.reference, first: w.first, last, begin: (luma) => begin(ask, w, luma) })
  }
  if (faults.length > 0)
    throw new Problem({
      code: 'track.nothing-to-follow',
      what: 'There is nothing to hold on to',
      faults,
      remedy: faults.every((f) => f.expected === undefined)
        ? 'Choose places with texture both ways (a corner, a knot, a stone), or a larger region.'
        : 'Choose a place that is in the picture; a mesh needs a region (--region x,y x,y x,y …).',
    })
  return courses
}

async function referenceOf(source: Source, frame: number) {
  for await (const native of source.frames(frame, 1)) {
    const luma = lumaOf(native)
    return { luma, noise: noiseOf(luma) }
  }
  throw new Problem({ code: 'track.no-frame', what: `The plate has no frame ${frame}`, exit: 3 })
}

function faultOf(ask: Ask, w: Wanted, luma: Luma): ProblemDetail[] | undefined {
  const fault = (what: string, where: string, expected?: string) => ({
    ...{ code: 'track.nothing-to-follow', what, where },
    ...(expected === undefined ? {} : { expected }),
  })
  if (w.bends === true && w.region === undefined)
    return [fault('a surface that bends needs its outline', `tracks.${w.id}`, 'a region')]
  if (w.points !== undefined) {
    return w.points.flatMap((p, i) => {
      const at = ask.lens.filmed(p)
      const where = `tracks.${w.id}.points[${i}] (${p.join(', ')})`
      if (at[0] < 2 || at[1] < 2 || at[0] > luma.width - 2 || at[1] > luma.height - 2)
        return [
          fault('it lies outside the picture', where, `2 to ${luma.width - 2}, 2 to ${luma.height - 2}`),
        ]
      const chosen = chooseWindow(luma, at, ask.noise, windowsAlone(luma.width))
      return 'why' in chosen ? [fault(chosen.why, where)] : []
    })
  }
  const count = begin(ask, w, luma).marks.length
  if (count >= (w.bends === true ? BENDING_MARKS : LEAST_MARKS)) return undefined
  const where = `tracks.${w.id}`
  const beyond = w.region !== undefined && outsideOf(w.region.map(ask.lens.filmed), luma)
  if (beyond)
    return [fault(`${beyond} lies outside the picture`, where, `0 to ${luma.width}, 0 to ${luma.height}`)]
  const places = count === 0 ? 'no place' : count === 1 ? 'only one place' : `only ${count} places`
  return [fault(`${places} within it can be told from what lies beside`, where)]
}

/** How much of a region is not to be seen; undefined where that is little. */
function outsideOf(region: readonly Place[], { width, height }: Luma): string | undefined {
  const { x, y, ...size } = boundsOf(region)
  const seen = (from: number, length: number, most: number) =>
    Math.max(0, Math.min(from + length, most) - Math.max(from, 0)) / Math.max(length, 1)
  const share = seen(x, size.width, width) * seen(y, size.height, height)
  return share === 0 ? 'all of it' : share < 0.5 ? 'most of it' : undefined
}

function begin(ask: Ask, w: Wanted, luma: Luma): Follower {
  if (w.region !== undefined && w.bends === true) return new SurfaceFollower(ask, luma, w.region)
  if (w.points === undefined) return new PlaneFollower(ask, luma, w.region)
  const marks = w.points.map((p) => {
    const at = ask.lens.filmed(p)
    const chosen = chooseWindow(luma, at, ask.noise, windowsAlone(luma.width))
    if ('why' in chosen) throw new Error('points were looked at before')
    return newMark(p, lookAt(luma, w.reference, at, chosen.window))
  })
  return new PointsFollower(ask, luma, marks)
}

function followed(w: Wanted, i: number, passes: readonly Swept[], all: readonly PictureJump[]): Followed {
  const outcomes = passes.flatMap((p) => p.outcomes[i] ?? []).toSorted((a, b) => a.frame - b.frame)
  // What is followed to a part of a pixel on this frame as well has not gone, whatever the small picture says.
  const seenOn = new Set(outcomes.flatMap((o) => (o.motion === undefined ? [] : [o.frame])))
  const goes = (f: number) =>
    (f - 1 === w.reference || seenOn.has(f - 1)) && (f === w.reference || seenOn.has(f))
  const jumps = all.filter(
    ({ frame, kind }) => frame > w.first && frame < w.first + w.count && !(kind === 'gone' && goes(frame)),
  )
  const marked = passes.flatMap((p) => p.followers[i]?.marks ?? [])
  const beyond = beyondSpreads(marked, outcomes)
  const marks = new Map<string, Mark[]>()
  for (const m of marked) {
    const key = m.from.join()
    marks.set(key, [...(marks.get(key) ?? []), m])
  }
  const points = [...marks.values()]
    .map((same) => {
      const seen = same
        .flatMap((m) => m.seen)
        .toSorted((a, b) => a.frame - b.frame)
        .map((s) => {
          const { spread, weighing } = widened(s, beyond ** 2)
          return [s.frame, ...s.at, spread, weighing] as const
        })
      return { from: (same[0] as Mark).from, seen }
    })
    .filter((p) => w.points !== undefined || p.seen.length > 0)
    .toSorted((a, b) => (w.points === undefined ? b.seen.length - a.seen.length : 0))
    .slice(0, TOLD)
  const blurred = outcomes.filter((o) => o.sharp !== undefined && o.sharp < BLURRED).map((o) => o.frame)
  const said = [
    ...jumps.map(pictureJumpSaid),
    ...(blurred.length > 0 ? [`Blurred beside the reference frame: ${spans(blurred)}.`] : []),
    ...passes.flatMap((p) => p.followers[i]?.said ?? []),
  ]
  return {
    evidence: {
      ...{ reference: w.reference, frames: { first: w.first, count: w.count }, points },
      // Of a whole picture much may go its own way; a region is meant to be one thing.
      ...(w.region === undefined ? {} : { outline: w.region, astray: astrayOn(outcomes) }),
      ...(w.region === undefined && w.points === undefined ? { uneven: unevenOn(outcomes) } : {}),
      ...{ corrections: w.corrections ?? [], cuts: jumps.map((j) => j.frame) },
    },
    said,
  }
}

function astrayOn(outcomes: readonly Outcome[]): Astray[] {
  return outcomes.flatMap(({ frame, astray }) => (astray ? [{ frame, ...astray }] : []))
}

function unevenOn(outcomes: readonly Outcome[]): Uneven[] {
  return outcomes.flatMap(({ frame, uneven }) => (uneven ? [{ frame, ...uneven }] : []))
}

/** `3–7, 12`. */
export function spans(frames: readonly number[]): string {
  const runs: [number, number][] = []
  for (const f of frames) {
    const last = runs[runs.length - 1]
    if (last !== undefined && last[1] === f - 1) last[1] = f
    else runs.push([f, f])
  }
  return runs.map(([a, b]) => (a === b ? `${a}` : `${a}–${b}`)).join(', ')
}
