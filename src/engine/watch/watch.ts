/**
 * What only shows over the whole shot: whether elements stay where they were put in the plate, how they step, what passes before
 * them, and whether pictures are seen twice. The plate is read once from end to end, each element's file too.
 */
import type { Comparison } from '../../chain/compare.js'
import { compareRepeats, type Series } from '../../chain/place/repeat/compare.js'
import { type Change, compareHeld } from '../../chain/place/stepping/compare.js'
import type { Source } from '../../media/index.js'
import type { Shot } from '../../shot/schema.js'
import { openVision } from '../../vision/index.js'
import type { FrameInput } from '../frame.js'
import { frameInputs } from '../inputs.js'
import { type Picture, type Plan, type ShotSources, shotRange } from '../plan.js'
import { closeShot, openShot } from '../sources.js'
import { lumaOf, smallFactor, smallGrey } from '../track/luma.js'
import { anchorOf, noAnchor } from './anchor.js'
import { FileWatch, type Pair, pairOf } from './file.js'
import { FootWatch } from './foot.js'
import { type Frame, GroundWatch } from './ground.js'
import { compareInPlace, type PlaceWatch } from './inPlace.js'
import { changes, Pictures, thumbnailOf } from './pictures.js'

/** Frames of the plate that are looked at, at most: of a longer shot every second one, or third, and so on. */
const MOST = 240

interface Watch extends PlaceWatch {
  readonly pictures: Pictures
}

type Own = FrameInput['elements'][number] | undefined

export interface Watched {
  readonly element: string
  readonly comparison: Comparison
}

/** @param rendered opened as it was delivered */
export async function watchShot(
  { shot, folder, rendered }: WatchedShot,
  plan: Plan,
  signal: AbortSignal | undefined,
): Promise<Watched[]> {
  // Opened anew and decoded once: to keep all of these frames would cost more than it saves.
  const sources = await openShot(alone(shot), folder)
  try {
    const { first, count } = shotRange(shot, sources.plate.info.frameCount)
    const step = Math.ceil(count / MOST)
    const looked = Array.from({ length: Math.ceil(count / step) }, (_, i) => i * step)
    const watches = await watchesOf(shot, looked, plan)
    if (watches.length === 0) return []
    const thumbnails = await overShot({ shot, sources, rendered, plate: plan.plate }, looked, watches, signal)
    const out: Watched[] = []
    for (const w of watches) {
      const element = w.anchor.element.id
      const place = await compareInPlace(w, { plate: sources.plate, first, rendered }, plan)
      for (const comparison of [...place, heldOf(w, thumbnails)]) out.push({ element, comparison })
    }
    return [...out, ...repeatsOf(watches)]
  } finally {
    await closeShot(sources)
  }
}

interface WatchedShot {
  readonly shot: Shot
  readonly folder: string
  readonly rendered: Source
}

/** Without the files that hide its elements: nobody looks at those here. */
function alone(shot: Shot): Shot {
  return { ...shot, elements: shot.elements.map(({ holdout: _, ...e }) => e) }
}

async function watchesOf(shot: Shot, looked: readonly number[], plan: Plan): Promise<Watch[]> {
  const vision = await openVision()
  return shot.elements.flatMap((e): Watch[] => {
    const picture = plan.elements[e.id]
    if (picture === undefined) return []
    const anchor = anchorOf(e, picture, plan)
    const frames = looked.filter((n) => anchor.shown(n) !== undefined)
    if (frames.length === 0) return []
    const left = e.follow === undefined && (e.keys?.length ?? 0) === 0
    const ground = new GroundWatch(vision, { foot: anchor.foot, left })
    const foot = new FootWatch(vision)
    const file = new FileWatch(vision, anchor, picture)
    const pictures = new Pictures(anchor, picture)
    return [{ anchor, frames, why: noAnchor(anchor, frames, plan.plate), ground, foot, file, pictures }]
  })
}

interface Opened extends Pick<WatchedShot, 'shot' | 'rendered'> {
  readonly sources: ShotSources
  readonly plate: Picture
}

/** @returns the plate's own thumbnails, by frame */
async function overShot(
  { shot, sources, rendered, plate: of }: Opened,
  looked: readonly number[],
  watches: readonly Watch[],
  signal: AbortSignal | undefined,
): Promise<Map<number, Float32Array>> {
  const shown = watches.flatMap((w) => [w.frames[0] as number, w.frames.at(-1) as number])
  const [from, to] = [Math.min(...shown), Math.max(...shown)]
  const all = Array.from({ length: to - from + 1 }, (_, i) => from + i)
  const wanted = new Set(looked)
  const thumbnails = new Map<number, Float32Array>()
  const finished = rendered.frames(from, all.length)
  try {
    for await (const { number, plate, elements } of frameInputs(shot, sources, all)) {
      signal?.throwIfAborted()
      const next = await finished.next()
      if (!wanted.has(number) || next.done === true) continue
      const luma = lumaOf(plate)
      thumbnails.set(number, thumbnailOf(plate))
      const factor = smallFactor(luma.width, luma.height)
      const frame = { number, luma, small: smallGrey(luma, factor), factor }
      const seen = pairOf(luma, of, lumaOf(next.value), rendered.info)
      for (const w of watches) {
        const own = elements.find((e) => e.id === w.anchor.element.id)
        if (own !== undefined && own.into === undefined) w.pictures.next(number, own.frame)
        if (w.why === undefined) watchFrame(w, frame, seen, own)
      }
    }
  } finally {
    await finished.return()
  }
  for (const w of watches) w.ground.end()
  return thumbnails
}

function watchFrame({ anchor, ground, foot, file }: Watch, frame: Frame, seen: Pair, own: Own): void {
  const { number, luma } = frame
  const at = anchor.at(number)
  ground.next(frame, at, at === undefined ? 0 : anchor.size(number))
  foot.next(number, luma, at)
  if (own !== undefined && own.into === undefined) file.next(number, seen, own.frame)
}

function heldOf({ anchor, pictures: own }: Watch, plate: ReadonlyMap<number, Float32Array>): Comparison {
  const changed = changes(own.thumbnails)
  const plateChanged = changes(own.frames.map((n) => plate.get(n) ?? new Float32Array(0)))
  const all = own.frames.map(
    (frame, k): Change => ({
      frame,
      due: k > 0 && own.numbers[k] !== own.numbers[k - 1],
      changed: changed[k] as boolean,
      plateChanged: plateChanged[k] as boolean,
    }),
  )
  return compareHeld({ name: anchor.element.id, regionAt: anchor.regionAt, changes: all.slice(1) })
}

function repeatsOf(watches: readonly Watch[]): Watched[] {
  const all = watches.flatMap(({ anchor, pictures: own }): Series[] => {
    if (own.thumbnails.length === 0) return []
    return [
      {
        name: anchor.element.id,
        frames: own.frames,
        pictures: own.thumbnails,
        varied: anchor.element.time?.loop?.seed !== undefined,
        regionAt: anchor.regionAt,
      },
    ]
  })
  return compareRepeats(all).map(({ name, comparison }) => ({ element: name, comparison }))
}
