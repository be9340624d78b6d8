/** The files of a shot that is looked at, opened again only where the document names others, and their frames made small. */
import { resolve } from 'node:path'
import { shownPictures } from '../../chain/shutter/cadence/model.js'
import { type NativeFrame, Problem } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { depthOf, matteOf } from '../../shot/matte.js'
import type { Shot, ShotElement } from '../../shot/schema.js'
import { cadenceOf } from '../cadence.js'
import type { FrameInput } from '../frame.js'
import { heldAt, withMotion } from '../inputs.js'
import { OwnMotions } from '../ownMotion.js'
import { pictureOf, type ShotSources, shotRange } from '../plan.js'
import { followsItself } from '../settings.js'
import { closeShot, openShot } from '../sources.js'
import type { Kept } from './store.js'
import type { Studio } from './studio.js'
import type { Shrink } from './task.js'

/** What is told apart of files under the same names. */
export type Stamps = Readonly<Record<string, string>>

/** A state of a shot and of its files. */
interface State {
  readonly shot: Shot
  readonly stamps?: Stamps | undefined
}

/** The small pictures of one frame, and the files that they come from. */
export interface Small {
  readonly sources: ShotSources
  /** Of their size to the files'. */
  readonly factor: number
  readonly input: FrameInput
  /** The plate as it is seen, three bytes a pixel. */
  readonly shown: Uint8Array
}

type FileRecord = Pick<ShotElement, 'file'> & Partial<ShotElement>

export class Footage {
  readonly #folder: string
  readonly #studio: Studio
  #opened: { readonly files: string; readonly sources: ShotSources } | undefined
  readonly #motions = new Map<string, OwnMotions>()
  #closed = false
  /** Opening, decoding and closing take turns: a file is read at one place at a time. */
  #busy: Promise<unknown> = Promise.resolve()

  constructor(folder: string, studio: Studio) {
    this.#folder = folder
    this.#studio = studio
  }

  /** @throws Problem as `openSource` */
  open(state: State): Promise<void> {
    return this.#inTurn(async () => {
      await this.#sources(state)
    })
  }

  /**
   * The pictures of one frame; undefined where it is wanted no more when its turn comes.
   *
   * @param width wanted of the plate, px; never more than its own
   * @throws Problem `engine.no-such-frame`; as `openSource`
   */
  small(state: State, number: number, width: number, wanted: () => boolean): Promise<Small | undefined> {
    return this.#inTurn(async () => {
      if (!wanted()) return undefined
      const { shot } = state
      const sources = await this.#sources(state)
      const { info } = sources.plate
      const { first } = checkedRange(number, shot, info.frameCount)
      const factor = Math.min(1, width / info.width)
      const key = this.#plateKey(state)
      const plate = await this.#picture('plate', key, sources.plate, first + number, 'none', factor)
      if (plate?.shown === undefined) throw new Error(`${info.path} lacks frame ${first + number}`)
      const elements: FrameInput['elements'][number][] = []
      for (const e of shot.elements) {
        const shownThen = await this.#element(e, state, sources, number, factor)
        if (shownThen !== undefined) elements.push(shownThen)
      }
      return {
        ...{ sources, factor, shown: plate.shown },
        input: {
          number,
          plate: plate.frame,
          elements,
          ...(await this.#depth(state, sources, number, factor)),
        },
      }
    })
  }

  /** Closes the files until they are asked for again. */
  rest(): Promise<void> {
    return this.#inTurn(() => this.#shut())
  }

  /** Nothing is opened any more. */
  close(): Promise<void> {
    this.#closed = true
    return this.#inTurn(() => this.#shut())
  }

  async #sources(state: State): Promise<ShotSources> {
    if (this.#closed) throw new Error('the preview is closed')
    const { shot, stamps } = state
    const files = JSON.stringify([
      shot.plate.frames,
      shot.tracks,
      this.#plateKey(state),
      depthOf(shot) && this.#key(depthOf(shot) as FileRecord, stamps),
      ...shot.elements.map((e) => {
        const matte = matteOf(e.holdout)
        return [e.id, this.#key(e, stamps), matte && this.#key(matte, stamps)]
      }),
    ])
    if (this.#opened?.files === files) return this.#opened.sources
    const sources = await openShot(shot, this.#folder)
    await this.#shut()
    this.#opened = { files, sources }
    return sources
  }

  async #shut(): Promise<void> {
    const opened = this.#opened
    this.#opened = undefined
    this.#motions.clear()
    if (opened !== undefined) await closeShot(opened.sources)
  }

  async #element(
    e: ShotElement,
    { shot, stamps }: State,
    sources: ShotSources,
    number: number,
    factor: number,
  ) {
    const source = sources.elements.get(e.id)
    if (source === undefined) return undefined
    const cadence = cadenceOf(e, pictureOf(source.info), pictureOf(sources.plate.info), shot)
    const shown = shownPictures(cadence, number)
    if (shown === undefined) return undefined
    const at = (k: number) => this.#picture('element', this.#key(e, stamps), source, k, e.alpha, factor)
    const picture = await at(shown.frame)
    if (picture === undefined) return undefined
    const next = shown.into && (await at(shown.into.frame))
    const into = shown.into && next && { ...shown.into, frame: next.frame }
    const plain = { frame: picture.frame, ...(into === undefined ? {} : { into }) }
    const pictures = { id: e.id, ...(await withMotion(plain, shown, this.#motionsOf(e, stamps, sources))) }
    const matte = sources.holdouts.get(e.id)
    const record = matteOf(e.holdout)
    if (matte === undefined || record === undefined) return pictures
    const held = heldAt(matte, number)
    const holdout = await this.#picture('matte', this.#key(record, stamps), matte, held, 'none', factor)
    return { ...pictures, ...(holdout === undefined ? {} : { holdout: holdout.frame }) }
  }

  /** Of the file's own frames, and kept as long as it is open. */
  #motionsOf(e: ShotElement, stamps: Stamps | undefined, sources: ShotSources): OwnMotions | undefined {
    const source = sources.elements.get(e.id)
    if (source === undefined || !followsItself(e, source.info, sources.plate.info)) return undefined
    const key = JSON.stringify([this.#key(e, stamps), e.alpha])
    const made = this.#motions.get(key) ?? new OwnMotions((k) => oneFrame(source, k), e.alpha)
    this.#motions.set(key, made)
    return made
  }

  async #depth(
    { shot, stamps }: State,
    { depth }: ShotSources,
    number: number,
    factor: number,
  ): Promise<Pick<FrameInput, 'depth'>> {
    const record = depthOf(shot)
    if (depth === undefined || record === undefined) return {}
    const at = heldAt(depth, number)
    const map = await this.#picture('data', this.#key(record, stamps), depth, at, 'none', factor)
    return map === undefined ? {} : { depth: map.frame }
  }

  /** One frame of a file, made small; from memory where it was made before. */
  async #picture(
    kind: Shrink['kind'],
    file: string,
    source: Source,
    index: number,
    alpha: Shrink['alpha'],
    factor: number,
  ): Promise<Kept | undefined> {
    if (index >= source.info.frameCount) return undefined
    return this.#studio.store.get(JSON.stringify([kind, file, index, alpha, factor]), async () => {
      for await (const frame of source.frames(index, 1)) {
        const { encoding } = source.info
        return (await this.#studio.ask({ kind, frame, encoding, alpha, factor })) as Kept
      }
      throw new Error(`${source.info.path} gave no frame ${index} of ${source.info.frameCount}`)
    })
  }

  /** All that a file's light depends on: where it lies, whether it is still the same, and what the document says of its codes. */
  #key(f: FileRecord, stamps: Stamps = {}): string {
    const path = resolve(this.#folder, f.file)
    const stamp = stamps[f.file]
    return JSON.stringify([path, stamp, f.layer, f.still, f.curve, f.primaries, f.matrix, f.range, f.rate])
  }

  /** The camera's own curve too. */
  #plateKey({ shot: { plate }, stamps }: State): string {
    const response = Object.entries(plate.treatments).filter(([name]) => name.startsWith('sensor.response'))
    return JSON.stringify([this.#key(plate, stamps), response])
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#busy.then(work)
    this.#busy = done.catch(() => {})
    return done
  }
}

function checkedRange(number: number, shot: Shot, plateFrames: number): { first: number } {
  const { first, count } = shotRange(shot, plateFrames)
  if (Number.isInteger(number) && number >= 0 && number < count) return { first }
  throw new Problem({
    code: 'engine.no-such-frame',
    what: 'The frame asked for is not in the shot',
    where: shot.plate.file,
    expected: `0 to ${count - 1}`,
    received: String(number),
    remedy: 'Count frames from 0, at the first frame of the shot.',
  })
}

async function oneFrame(source: Source, index: number): Promise<NativeFrame | undefined> {
  if (index >= source.info.frameCount) return undefined
  for await (const frame of source.frames(index, 1)) return frame
  return undefined
}
