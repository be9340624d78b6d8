import type { Crossing, Pictured } from '../chain/element.js'
import type { Shown } from '../chain/shutter/cadence/loop.js'
import { shownPictures } from '../chain/shutter/cadence/model.js'
import type { NativeFrame } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cadenceOf } from './cadence.js'
import { Forward } from './forward.js'
import type { FrameInput } from './frame.js'
import type { FrameMemory } from './frameMemory.js'
import { OwnMotions } from './ownMotion.js'
import { pictureOf, type ShotSources, shotRange } from './plan.js'
import { followsItself } from './settings.js'

/**
 * A source of which two places can be seen at once: each is read forward, and when a round of a loop has crossed over into the
 * next, that one goes on where it is.
 */
class Rounds {
  readonly #readers: readonly [Forward, Forward]
  /** The one that gave the picture which goes. */
  #own = 0

  constructor(source: Source, memory: FrameMemory | undefined) {
    this.#readers = [new Forward(source, memory), new Forward(source, memory)]
  }

  async at({ frame, into }: Shown): Promise<{ frame: NativeFrame; into?: Crossing } | undefined> {
    const other = 1 - this.#own
    if (this.#reader(other).ahead(frame) < this.#reader(this.#own).ahead(frame)) this.#own = other
    const own = await this.#reader(this.#own).at(frame)
    if (own === undefined || into === undefined) return own && { frame: own }
    const next = await this.#reader(1 - this.#own).at(into.frame)
    return next === undefined ? { frame: own } : { frame: own, into: { ...into, frame: next } }
  }

  #reader(i: number): Forward {
    return this.#readers[i] as Forward
  }

  async close(): Promise<void> {
    await Promise.all(this.#readers.map((r) => r.close()))
  }
}

/**
 * Decoded frames for each of `numbers` (frames of the shot, ascending): the plate and every element that shows then.
 * `withElements` false leaves the elements out (a null render needs none). With `memory` all frames lie in it; those that
 * are given are held, and whoever gets them lets them go (`framesOf`).
 */
export async function* frameInputs(
  shot: Shot,
  sources: ShotSources,
  numbers: Iterable<number>,
  withElements = true,
  memory?: FrameMemory,
): AsyncGenerator<FrameInput, void, undefined> {
  const { first } = shotRange(shot, sources.plate.info.frameCount)
  const plate = new Forward(sources.plate, memory)
  const elements = new Map([...sources.elements].map(([id, s]) => [id, new Rounds(s, memory)]))
  const holdouts = new Map([...sources.holdouts].map(([id, s]) => [id, new Forward(s, memory)]))
  const map = sources.depth && new Forward(sources.depth, memory)
  const beside: Forward[] = []
  const motions = new Map<string, OwnMotions>()
  for (const e of withElements ? shot.elements : []) {
    const source = sources.elements.get(e.id)
    if (source === undefined || !followsItself(e, source.info, sources.plate.info)) continue
    // By the side of what is drawn: a frame's neighbours are looked at too.
    const reader = new Forward(source, undefined)
    beside.push(reader)
    motions.set(
      e.id,
      new OwnMotions(async (k) => (k < source.info.frameCount ? reader.at(k) : undefined), e.alpha),
    )
  }
  try {
    for (const number of numbers) {
      const frame = await plate.at(first + number)
      if (frame === undefined) return
      const shown: FrameInput['elements'][number][] = []
      for (const e of withElements ? shot.elements : []) {
        const one = await elementAt(e, number, shot, sources, elements, holdouts, motions)
        if (one !== undefined) shown.push(one)
      }
      const depth = withElements ? await map?.at(heldAt(sources.depth, number)) : undefined
      const input = { number, plate: frame, elements: shown, ...(depth === undefined ? {} : { depth }) }
      for (const f of framesOf(input)) memory?.hold(f)
      yield input
    }
  } finally {
    const all = [
      plate,
      ...elements.values(),
      ...holdouts.values(),
      ...beside,
      ...(map === undefined ? [] : [map]),
    ]
    await Promise.all(all.map((f) => f.close()))
  }
}

/** Every frame of an input, the plate first. */
export function framesOf({ plate, elements, depth }: FrameInput): NativeFrame[] {
  const all = elements.flatMap((e) => [e.frame, e.into?.frame, e.holdout])
  return [plate, depth, ...all].filter((f) => f !== undefined)
}

type Pictures = { readonly frame: NativeFrame; readonly into?: Crossing }

/** The pictures with how what is in them moves, where that is wanted. */
export async function withMotion(
  pictures: Pictures,
  shown: Shown,
  motions: OwnMotions | undefined,
): Promise<Pictures & Pictured> {
  if (motions === undefined) return pictures
  const goes = await motions.at(shown.frame)
  const { frame, into } = pictures
  if (into === undefined || shown.into === undefined) return { frame, goes }
  return { frame, goes, into: { ...into, goes: await motions.at(shown.into.frame) } }
}

async function elementAt(
  e: ShotElement,
  number: number,
  shot: Shot,
  sources: ShotSources,
  elements: ReadonlyMap<string, Rounds>,
  holdouts: ReadonlyMap<string, Forward>,
  motions: ReadonlyMap<string, OwnMotions>,
) {
  const source = sources.elements.get(e.id)
  if (source === undefined) return undefined
  const cadence = cadenceOf(e, pictureOf(source.info), pictureOf(sources.plate.info), shot)
  const shown = shownPictures(cadence, number)
  const plain = shown && (await elements.get(e.id)?.at(shown))
  if (plain === undefined) return undefined
  const pictures = await withMotion(plain, shown as Shown, motions.get(e.id))
  const matte = sources.holdouts.get(e.id)
  if (matte === undefined) return { id: e.id, ...pictures }
  const holdout = await holdouts.get(e.id)?.at(heldAt(matte, number))
  return holdout === undefined ? { id: e.id, ...pictures } : { id: e.id, ...pictures, holdout }
}

/** A still stands for every frame; a sequence starts with the shot and its last frame holds. */
export function heldAt(source: Source | undefined, number: number): number {
  return Math.min(number, (source?.info.frameCount ?? 1) - 1)
}
