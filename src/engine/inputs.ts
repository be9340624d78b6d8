import { elementFrame } from '../chain/shutter/cadence/model.js'
import type { NativeFrame } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import type { FrameInput } from './frame.js'
import type { FrameMemory } from './frameMemory.js'
import { pictureOf, type ShotSources, shotRange } from './plan.js'
import { cadenceOf } from './settings.js'

/** A source read forward, one frame held: asked for the same frame twice it gives the same arrays. What lies between is left out. */
class Forward {
  readonly #source: Source
  readonly #memory: FrameMemory | undefined
  #frames: AsyncGenerator<NativeFrame, void, undefined> | undefined
  #index = -1
  #held: NativeFrame | undefined

  constructor(source: Source, memory: FrameMemory | undefined) {
    this.#source = source
    this.#memory = memory
  }

  async at(index: number): Promise<NativeFrame | undefined> {
    if (index === this.#index) return this.#held
    if (this.#frames === undefined || index !== this.#index + 1) {
      await this.close()
      this.#frames = this.#source.frames(index, undefined, this.#memory?.take)
      this.#index = index - 1
    }
    const next = await this.#frames.next()
    this.#keep(next.done === true ? undefined : next.value)
    this.#index = index
    return this.#held
  }

  async close(): Promise<void> {
    await this.#frames?.return()
    this.#frames = undefined
    this.#keep(undefined)
  }

  #keep(frame: NativeFrame | undefined): void {
    if (this.#held !== undefined) this.#memory?.letGo(this.#held)
    this.#held = frame === undefined ? undefined : (this.#memory?.share(frame) ?? frame)
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
  const elements = new Map([...sources.elements].map(([id, s]) => [id, new Forward(s, memory)]))
  const holdouts = new Map([...sources.holdouts].map(([id, s]) => [id, new Forward(s, memory)]))
  const map = sources.depth && new Forward(sources.depth, memory)
  try {
    for (const number of numbers) {
      const frame = await plate.at(first + number)
      if (frame === undefined) return
      const shown: FrameInput['elements'][number][] = []
      for (const e of withElements ? shot.elements : []) {
        const one = await elementAt(e, number, sources, elements, holdouts)
        if (one !== undefined) shown.push(one)
      }
      const depth = withElements ? await map?.at(heldAt(sources.depth, number)) : undefined
      const input = { number, plate: frame, elements: shown, ...(depth === undefined ? {} : { depth }) }
      for (const f of framesOf(input)) memory?.hold(f)
      yield input
    }
  } finally {
    const all = [plate, ...elements.values(), ...holdouts.values(), ...(map === undefined ? [] : [map])]
    await Promise.all(all.map((f) => f.close()))
  }
}

/** Every frame of an input, the plate first. */
export function framesOf({ plate, elements, depth }: FrameInput): NativeFrame[] {
  const own = depth === undefined ? [plate] : [plate, depth]
  return [...own, ...elements.flatMap((e) => (e.holdout === undefined ? [e.frame] : [e.frame, e.holdout]))]
}

async function elementAt(
  e: ShotElement,
  number: number,
  sources: ShotSources,
  elements: ReadonlyMap<string, Forward>,
  holdouts: ReadonlyMap<string, Forward>,
) {
  const source = sources.elements.get(e.id)
  if (source === undefined) return undefined
  const k = elementFrame(cadenceOf(e, pictureOf(source.info), pictureOf(sources.plate.info)), number)
  const frame = k === undefined ? undefined : await elements.get(e.id)?.at(k)
  if (frame === undefined) return undefined
  const matte = sources.holdouts.get(e.id)
  if (matte === undefined) return { id: e.id, frame }
  const holdout = await holdouts.get(e.id)?.at(heldAt(matte, number))
  return holdout === undefined ? { id: e.id, frame } : { id: e.id, frame, holdout }
}

/** A still stands for every frame; a sequence starts with the shot and its last frame holds. */
export function heldAt(source: Source | undefined, number: number): number {
  return Math.min(number, (source?.info.frameCount ?? 1) - 1)
}
