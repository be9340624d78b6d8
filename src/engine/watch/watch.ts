/**
 * What only shows over the whole shot: whether elements stay where they were put in the plate, how they step, what passes before
 * them, and whether pictures are seen twice. The plate is read once from end to end, each element's file too.
 */
import type { Comparison } from '../../chain/compare.js'
import { comparePassing, type Passing } from '../../chain/place/cover/compare.js'
import { compareRepeats, type Series } from '../../chain/place/repeat/compare.js'
import { cannotTell, compareSlide } from '../../chain/place/slide/compare.js'
import { long } from '../../chain/place/slide/model.js'
import { type Change, compareHeld, compareSteps, stepsOf } from '../../chain/place/stepping/compare.js'
import type { Source } from '../../media/index.js'
import type { Shot } from '../../shot/schema.js'
import { openVision } from '../../vision/index.js'
import { type Picture, type Plan, type ShotSources, shotRange } from '../plan.js'
import { openRecord } from '../sources.js'
import { type Luma, lumaOf, smallFactor, smallGrey } from '../track/luma.js'
import { type Anchor, anchorOf, noAnchor } from './anchor.js'
import { FootWatch, type Hidden } from './foot.js'
import { type Frame, GroundWatch } from './ground.js'
import { changes, type Pictures, picturesOf, thumbnailOf } from './pictures.js'

/** Frames of the plate that are looked at, at most: of a longer shot every second one, or third, and so on. */
const MOST = 240

export interface Watched {
  readonly element: string
  readonly comparison: Comparison
}

interface Watch {
  readonly anchor: Anchor
  /** Frames on which it shows, of those that are looked at. */
  readonly frames: readonly number[]
  /** Why nothing can be told of how it stays with the plate. */
  readonly why: string | undefined
  readonly ground: GroundWatch
  readonly foot: FootWatch
}

/** @param rendered opened as it was delivered */
export async function watchShot(
  { shot, folder, sources, rendered }: WatchedShot,
  plan: Plan,
  signal: AbortSignal | undefined,
): Promise<Watched[]> {
  const { first, count } = shotRange(shot, sources.plate.info.frameCount)
  const step = Math.ceil(count / MOST)
  const looked = Array.from({ length: Math.ceil(count / step) }, (_, i) => i * step)
  const vision = await openVision()
  const watches = shot.elements.flatMap((e): Watch[] => {
    const picture = plan.elements[e.id]
    if (picture === undefined) return []
    const anchor = anchorOf(e, picture, plan)
    const frames = looked.filter((n) => anchor.shown(n) !== undefined)
    if (frames.length === 0) return []
    const left = e.follow === undefined && (e.keys?.length ?? 0) === 0
    const why = noAnchor(anchor, frames, plan.plate)
    return [
      {
        anchor,
        frames,
        why,
        ground: new GroundWatch(vision, { foot: anchor.foot, left }),
        foot: new FootWatch(vision),
      },
    ]
  })
  if (watches.length === 0) return []
  // Decoded once and not again: to keep all of these frames would cost more than it saves.
  const plate = await openRecord(shot.plate, folder)
  try {
    const thumbnails = await overPlate(plate, first, looked, watches, signal)
    const pictures = await allPictures(shot, folder, watches, signal)
    const out: Watched[] = []
    for (const w of watches) {
      const own = pictures.get(w.anchor.element.id)
      out.push(...(await placeOf(w, { plate, first, rendered }, plan)))
      const held = own && heldOf(w, own, thumbnails)
      if (held !== undefined) out.push({ element: w.anchor.element.id, comparison: held })
    }
    return [...out, ...repeatsOf(watches, pictures)]
  } finally {
    await plate.close()
  }
}

interface WatchedShot {
  readonly shot: Shot
  readonly folder: string
  readonly sources: ShotSources
  readonly rendered: Source
}

/** @returns the plate's own thumbnails, by frame */
async function overPlate(
  plate: Source,
  first: number,
  looked: readonly number[],
  watches: readonly Watch[],
  signal: AbortSignal | undefined,
): Promise<Map<number, Float32Array>> {
  const wanted = new Set(looked)
  const shown = watches.flatMap((w) => [w.frames[0] as number, w.frames.at(-1) as number])
  const [from, to] = [Math.min(...shown), Math.max(...shown)]
  const thumbnails = new Map<number, Float32Array>()
  let n = from
  for await (const native of plate.frames(first + from, to - from + 1)) {
    signal?.throwIfAborted()
    if (wanted.has(n)) {
      thumbnails.set(n, thumbnailOf(native))
      const luma = lumaOf(native)
      const factor = smallFactor(luma.width, luma.height)
      const frame = { number: n, luma, small: smallGrey(luma, factor), factor }
      for (const w of watches) watchFrame(w, frame)
    }
    n++
  }
  for (const w of watches) w.ground.end()
  return thumbnails
}

function watchFrame({ anchor, why, ground, foot }: Watch, frame: Frame): void {
  if (why !== undefined) return
  const { number, luma } = frame
  const at = anchor.at(number)
  ground.next(frame, at, at === undefined ? 0 : anchor.size(number))
  foot.next(number, luma, at)
}

async function placeOf(
  { anchor, frames, why, ground, foot }: Watch,
  files: Files,
  { plate }: Plan,
): Promise<Watched[]> {
  const { id, follow, keys } = anchor.element
  const told = (comparison: Comparison): Watched => ({ element: id, comparison })
  if (why !== undefined) return [told(cannotTell(why))]
  const where = { name: id, regionAt: anchor.regionAt }
  // What passes before the anchor, and lets it be seen again where it was, is not its ground.
  const passes = (n: number) => foot.hidden.some(({ between: [a, b] }) => n > a && n < b)
  const spans = ground.spans.filter((s) => !s.frames.some(passes))
  const steps = stepsOf(spans)
  const stepping = compareSteps({ ...where, steps })
  const slide = compareSlide({
    ...where,
    foot: anchor.foot,
    follows: follow?.track,
    keyed: (keys?.length ?? 0) > 0,
    spans,
    frames: frames.filter((n) => !passes(n)).length,
    jumpPx: stepping.verdicts.length > 0 ? Math.max(...steps.map((s) => long(s.placed))) : undefined,
    plateWidth: plate.width,
  })
  // Where it slides, what lies under its foot changes without anything passing.
  const passing = slide.verdicts.length > 0 || !anchor.foot ? [] : await passingOf(foot.hidden, files, plate)
  return [told(stepping), told(slide), told(comparePassing(id, passing))]
}

interface Files {
  readonly plate: Source
  readonly first: number
  readonly rendered: Source
}

/** Side of the place about the foot that is compared with the plate, px, and by how much it must differ, of full code. */
const PLACE = 31
const DIFFERS = 0.02

async function passingOf(
  hidden: readonly Hidden[],
  { plate, first, rendered }: Files,
  { width, height }: Picture,
): Promise<Passing[]> {
  const out: Passing[] = []
  for (const { frames, at, alike } of hidden) {
    const n = frames[frames.length >> 1] as number
    const [x, y] = [Math.round(at[0] - PLACE / 2), Math.round(at[1] - PLACE / 2)]
    // What stands on its foot lies above it.
    const region = {
      x: Math.max(0, x),
      y: Math.max(0, y),
      width: Math.min(PLACE, width - x),
      height: Math.min(PLACE >> 1, height - y),
    }
    const [before, after] = [await lumaAt(plate, first + n), await lumaAt(rendered, n)]
    if (before === undefined || after === undefined) continue
    out.push({ frames, region, alike, differs: apart(before, after, region), least: DIFFERS })
  }
  return out
}

async function lumaAt(source: Source, n: number): Promise<Luma | undefined> {
  for await (const frame of source.frames(n, 1)) return lumaOf(frame)
  return undefined
}

function apart(a: Luma, b: Luma, r: Passing['region']): number {
  let sum = 0
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      const p = y * a.width + x
      sum += Math.abs((a.data[p] as number) / a.step - (b.data[p] as number) / b.step)
    }
  }
  return sum / (255 * r.width * r.height)
}

/** An element's file is opened anew: its frames are looked at once. Elements of one file read it one after the other. */
async function allPictures(
  shot: Shot,
  folder: string,
  watches: readonly Watch[],
  signal: AbortSignal | undefined,
): Promise<Map<string, Pictures>> {
  const out = new Map<string, Pictures>()
  for (const { anchor, frames } of watches) {
    signal?.throwIfAborted()
    const element = shot.elements.find((e) => e.id === anchor.element.id)
    if (element === undefined) continue
    const source = await openRecord(element, folder)
    try {
      out.set(element.id, await picturesOf(anchor, source, frames))
    } finally {
      await source.close()
    }
  }
  return out
}

function heldOf({ anchor }: Watch, own: Pictures, plate: ReadonlyMap<number, Float32Array>): Comparison {
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

function repeatsOf(watches: readonly Watch[], pictures: ReadonlyMap<string, Pictures>): Watched[] {
  const all = watches.flatMap(({ anchor }): Series[] => {
    const own = pictures.get(anchor.element.id)
    if (own === undefined || own.thumbnails.length === 0) return []
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
