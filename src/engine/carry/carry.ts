/** A shape of a document, carried over the plate's frames from the keys that a hand drew. */
import {
  type CarriedKey,
  carryShape as carryOver,
  type DrawnKey,
  type Stopped,
} from '../../chain/place/shape/carry.js'
import { flatten } from '../../chain/place/shape/outline.js'
import { thinned } from '../../chain/place/shape/thin.js'
import { Problem } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { drawnKeys, mergeCarried } from '../../shot/carried.js'
import type { Shot } from '../../shot/schema.js'
import { shapeOf } from '../../shot/shapeEdit.js'
import { openVision, type Place } from '../../vision/index.js'
import { cached } from '../cache/cached.js'
import { contentOf } from '../cache/content.js'
import { editShot, loadShot } from '../document.js'
import { shotRange } from '../plan.js'
import { tracker } from '../progress.js'
import { factsOf, openPlate } from '../sources.js'
import { findTracks } from '../tracks.js'
import type { Job } from '../types.js'
import { outlineFlow } from './flow.js'
import { picturesOf } from './pictures.js'
import { OUTLINE_DIGITS, type View, viewOf } from './seen.js'

export interface CarryOptions {
  /** First and last frame of the shot to which it is carried; all when absent. */
  readonly from?: number | undefined
  readonly to?: number | undefined
  /** Spread beyond which it is not carried on, px. */
  readonly limitPx?: number | undefined
  /** Carry it anew even where nothing that it depends on has changed. */
  readonly again?: boolean
}

export interface Carried {
  readonly shape: string
  readonly frames: readonly [first: number, last: number]
  readonly drawn: readonly number[]
  /** Frames that the picture carried it to, and how well it is known there, px. */
  readonly reached: readonly { readonly frame: number; readonly spreadPx: number }[]
  /** Keys that were written for them. */
  readonly keys: number
  readonly stopped: readonly Stopped[]
  /** Frames that it did not reach: the outline goes straight there from what stands before to what stands after. */
  readonly unsure: readonly Unsure[]
}

export interface Unsure {
  /** First and last one. */
  readonly frames: readonly [from: number, to: number]
  /** Drawn by hand on this frame it is put right on most of them: the middle one. */
  readonly draw: number
}

/** Keys are left out where going straight puts no point farther off than this, px: a sixth of the thinnest soft border in use. */
export const THIN_PX = 0.25

/**
 * Carries a shape and writes its carried keys into the document; keys drawn by hand stay as they are.
 *
 * @throws Problem `carry.frames`, `carry.no-way-back`, as `shapeOf`, `mergeCarried`, `trackOf`, `editShot`, `openSource`
 */
export async function carryShape(
  path: string,
  id: string,
  options: CarryOptions = {},
  job: Job = {},
): Promise<Carried> {
  const { shot, folder } = await loadShot(path)
  const shape = shapeOf(shot, id)
  const hand = drawnKeys(shape)
  const plate = await openPlate(shot, folder)
  try {
    const range = shotRange(shot, plate.info.frameCount)
    const frames = framesOf(options, range.count, hand, id)
    const view = viewOf(shot, shape, await findTracks(shot, folder, plate.info), plate.info)
    const seen = hand.map((k): DrawnKey => ({ frame: k.frame, points: view.toFrame(k.points, k.frame) }))
    const found = await carried({ shot, plate, seen, frames, kind: shape.kind, options }, job)
    const keys = written(found.keys, hand, view)
    await editShot(path, (now) => mergeCarried(now, shape, keys, frames))
    return {
      ...{ shape: id, frames, drawn: hand.map((k) => k.frame), keys: keys.length, stopped: found.stopped },
      reached: found.keys.map((k) => ({ frame: k.frame, spreadPx: k.carried.spreadPx })),
      unsure: unsureIn(frames, new Set([...hand, ...found.keys].map((k) => k.frame))),
    }
  } finally {
    await plate.close()
  }
}

function unsureIn([first, last]: readonly [number, number], known: ReadonlySet<number>): Unsure[] {
  const runs: [number, number][] = []
  for (let n = first; n <= last; n++) {
    if (known.has(n)) continue
    const run = runs.at(-1)
    if (run?.[1] === n - 1) run[1] = n
    else runs.push([n, n])
  }
  return runs.map((frames) => ({ frames, draw: Math.ceil((frames[0] + frames[1]) / 2) }))
}

interface Work {
  readonly shot: Shot
  readonly plate: Source
  readonly seen: readonly DrawnKey[]
  readonly frames: readonly [number, number]
  readonly kind: 'polygon' | 'spline'
  readonly options: CarryOptions
}

interface Found {
  readonly keys: CarriedKey[]
  readonly stopped: Stopped[]
}

/** Stretch by stretch, from one key to the next: what a correction does not touch is not carried again. */
async function carried(work: Work, job: Job): Promise<Found> {
  const { shot, plate, seen, frames, kind, options } = work
  const { first } = shotRange(shot, plate.info.frameCount)
  const content = await contentOf(plate.info.path, shot.plate.still === true)
  const parts = stretches(seen, frames)
  const ways = parts.map((p) => p.keys.length * (p.frames[1] - p.frames[0] + 1))
  const tick = tracker(
    job,
    'carry',
    ways.reduce((a, b) => a + b, 0),
  )
  const out: Found = { keys: [], stopped: [] }
  let done = 0
  for (const [i, { keys, frames: part }] of parts.entries()) {
    const make = async (): Promise<Found> => {
      const vision = await openVision()
      const pictures = picturesOf({ source: plate, first })
      const flow = outlineFlow(vision, pictures, (points) => outlineOf(points, kind))
      let own = 0
      const found = await carryOver(keys, {
        frames: part,
        ...(options.limitPx === undefined ? {} : { limitPx: options.limitPx }),
        flow: async (key) => {
          const next = await flow(key)
          return (points, from, to) => {
            tick(done + Math.min(++own, ways[i] as number))
            return next(points, from, to)
          }
        },
        luma: async (n) => {
          const { width, height, data, step } = await pictures(n)
          return { width, height, data, white: 255 * step }
        },
      })
      return found
    }
    const how = { keys, part, kind, first, limit: options.limitPx, plate: factsOf(plate) }
    const cache = options.again === true ? undefined : job.cache
    const found = await cached(cache, { kind: 'carry', of: [content], how }, make)
    out.keys.push(...found.keys)
    out.stopped.push(...found.stopped)
    done += ways[i] as number
  }
  tick(done)
  return out
}

/** Frames between two keys, before the first and after the last, as far as they are asked for. */
function stretches(seen: readonly DrawnKey[], [first, last]: readonly [number, number]) {
  return Array.from({ length: seen.length + 1 }, (_, k) => {
    const [before, after] = [seen[k - 1], seen[k]]
    const from = Math.max(first, before === undefined ? first : before.frame + 1)
    const to = Math.min(last, after === undefined ? last : after.frame - 1)
    return { keys: [before, after].filter((x) => x !== undefined), frames: [from, to] as const }
  }).filter(({ frames: [from, to] }) => from <= to)
}

/** The outline as it is drawn, in short straight pieces. */
function outlineOf(points: readonly Place[], kind: Work['kind']): Place[] {
  const [line] = flatten([Float64Array.from(points.flat())], kind === 'spline')
  const at = line as Float64Array
  return Array.from(
    { length: at.length / 2 },
    (_, i): Place => [at[2 * i] as number, at[2 * i + 1] as number],
  )
}

type Key = Shot['shapes'][number]['keys'][number]

/** As the document has them, and no more of them than are needed. */
function written(found: readonly CarriedKey[], hand: readonly Key[], view: View): Key[] {
  const round = (v: number) => Number(v.toFixed(OUTLINE_DIGITS))
  const carried = found.map(
    (k): Key => ({
      frame: k.frame,
      points: view.toDocument(k.points, k.frame).map(([x, y]): [number, number] => [round(x), round(y)]),
      carried: { spreadPx: round(k.carried.spreadPx) },
    }),
  )
  const all = [...carried, ...hand].sort((a, b) => a.frame - b.frame)
  const runs: Key[][] = []
  for (const key of all) {
    const run = runs.at(-1)
    const before = run?.at(-1)
    // A key by hand ends a run and begins the next one.
    if (run !== undefined && before !== undefined && before.frame + 1 === key.frame) run.push(key)
    else runs.push([key])
    if (key.carried === undefined) runs.push([key])
  }
  const needed = runs.flatMap((r) => thinned(r, THIN_PX))
  return needed.filter((k) => k.carried !== undefined)
}

function framesOf(
  { from, to }: CarryOptions,
  count: number,
  hand: readonly Key[],
  id: string,
): readonly [number, number] {
  const fault = (what: string, expected: string, received: string, remedy?: string) =>
    new Problem({
      ...{ code: 'carry.frames', what, where: `shapes.${id}`, expected, received },
      ...(remedy === undefined ? {} : { remedy }),
    })
  if (hand.length === 0)
    throw fault(
      `The shape "${id}" has no key that a hand drew`,
      'at least one',
      'none',
      'Draw it on the frame on which it is seen best.',
    )
  const beyond = hand.find((k) => k.frame >= count)
  if (beyond !== undefined)
    throw fault('A key lies beyond the end of the shot', `0 to ${count - 1}`, `${beyond.frame}`)
  const [first, last] = [from ?? 0, to ?? count - 1]
  if (first > last)
    throw fault(
      'The frames begin after they end',
      `--from ${last} or before`,
      to === undefined ? `--from ${first}, and the shot ends with ${last}` : `--from ${first} --to ${last}`,
      'Both count from the start of the shot; it is carried both ways from each key that a hand drew.',
    )
  if (last >= count)
    throw fault('These frames are not in the shot', `frames within 0 to ${count - 1}`, `${first} to ${last}`)
  return [first, last]
}
