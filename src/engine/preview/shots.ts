/** The shot that a preview shows: its files, opened again only where the document names others, and their frames. */
import { elementFrame } from '../../chain/shutter/cadence/model.js'
import type { Source } from '../../media/index.js'
import type { Shot, ShotElement } from '../../shot/schema.js'
import type { FrameInput } from '../frame.js'
import { pictureOf, type ShotSources, shotRange } from '../plan.js'
import { cadenceOf } from '../settings.js'
import { closeShot, openShot } from '../sources.js'
import type { Kept, Store } from './store.js'
import type { Done, Shrink, Task } from './task.js'

export interface Opened {
  readonly shot: Shot
  readonly sources: ShotSources
}

export class Shots {
  readonly #folder: string
  readonly #store: Store
  readonly #ask: (task: Task) => Promise<Done>
  #opened: Opened | undefined
  #files = ''
  /** Opening, decoding and closing take turns: a file is read at one place at a time. */
  #busy: Promise<unknown> = Promise.resolve()

  constructor(folder: string, store: Store, ask: (task: Task) => Promise<Done>) {
    this.#folder = folder
    this.#store = store
    this.#ask = ask
  }

  /** What stands now; `shot` from now on when it is given. */
  change(shot: Shot | undefined): Promise<Opened | undefined> {
    return this.#inTurn(async () => {
      if (shot === undefined) return this.#opened
      const files = filesOf(shot)
      if (this.#opened !== undefined && files === this.#files) {
        this.#opened = { shot, sources: this.#opened.sources }
        return this.#opened
      }
      const sources = await openShot(shot, this.#folder)
      if (this.#opened !== undefined) await closeShot(this.#opened.sources)
      this.#store.clear()
      this.#opened = { shot, sources }
      this.#files = files
      return this.#opened
    })
  }

  /** The small pictures of one frame; undefined where it is wanted no more when its turn comes. */
  input(
    { shot, sources }: Opened,
    number: number,
    factor: number,
    wanted: () => boolean,
  ): Promise<{ input: FrameInput; shown: Uint8Array } | undefined> {
    return this.#inTurn(async () => {
      if (!wanted() || this.#opened?.sources !== sources) return undefined
      const { first } = shotRange(shot, sources.plate.info.frameCount)
      const plate = await this.#small('plate', 'plate', sources.plate, first + number, 'none', factor)
      if (plate?.shown === undefined) return undefined
      const elements: FrameInput['elements'][number][] = []
      for (const e of shot.elements) {
        const shownThen = await this.#element(e, sources, number, factor)
        if (shownThen !== undefined) elements.push(shownThen)
      }
      return { input: { number, plate: plate.frame, elements }, shown: plate.shown }
    })
  }

  close(): Promise<void> {
    return this.#inTurn(async () => {
      if (this.#opened !== undefined) await closeShot(this.#opened.sources)
      this.#opened = undefined
    })
  }

  async #element(e: ShotElement, sources: ShotSources, number: number, factor: number) {
    const source = sources.elements.get(e.id)
    if (source === undefined) return undefined
    const k = elementFrame(cadenceOf(e, pictureOf(source.info), pictureOf(sources.plate.info)), number)
    const picture =
      k === undefined ? undefined : await this.#small('element', e.id, source, k, e.alpha, factor)
    if (picture === undefined) return undefined
    const matte = sources.holdouts.get(e.id)
    if (matte === undefined) return { id: e.id, frame: picture.frame }
    const held = Math.min(number, matte.info.frameCount - 1)
    const holdout = await this.#small('matte', e.id, matte, held, 'none', factor)
    return { id: e.id, frame: picture.frame, ...(holdout === undefined ? {} : { holdout: holdout.frame }) }
  }

  /** One frame of a file, made small; from memory where it was made before. */
  async #small(
    kind: Shrink['kind'],
    id: string,
    source: Source,
    index: number,
    alpha: Shrink['alpha'],
    factor: number,
  ): Promise<Kept | undefined> {
    if (index >= source.info.frameCount) return undefined
    return this.#store.get(`${kind} ${id} ${index}`, async () => {
      for await (const frame of source.frames(index, 1)) {
        return (await this.#ask({ kind, frame, encoding: source.info.encoding, alpha, factor })) as Kept
      }
      throw new Error(`${source.info.path} gave no frame ${index} of ${source.info.frameCount}`)
    })
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#busy.then(work)
    this.#busy = done.catch(() => {})
    return done
  }
}

/** All that the kept pictures depend on: the files, what the document says of their codes, and the camera's own curve. */
function filesOf({ plate, elements }: Shot): string {
  const { treatments, ...file } = plate
  const response = Object.entries(treatments).filter(([name]) => name.startsWith('sensor.response'))
  return JSON.stringify([
    file,
    response,
    elements.map((e) => [
      e.id,
      ...[e.file, e.alpha, e.layer, e.still, e.curve, e.primaries, e.matrix, e.range, e.rate, e.holdout],
    ]),
  ])
}
