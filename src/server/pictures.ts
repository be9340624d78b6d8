/** Frames of an opened shot for the page, and what stands at a point of them. */
import { join } from 'node:path'
import { openPreview, type Preview, type PreviewFrame } from '../engine/index.js'
import type { CheckResult, Variant } from '../engine/types.js'
import { encodeStill } from '../media/index.js'
import { frameOf } from '../report/choose.js'
import { realHands } from '../report/footage.js'
import type { Shot } from '../shot/index.js'
import type { FrameView, Values } from './protocol.js'

const VARIANTS: Readonly<Record<FrameView, Variant>> = { plate: 'null', plain: 'plain', result: 'result' }
/** What decoded pictures may take. */
const MEMORY = 768 * 2 ** 20
/** Least side of a tell's crop in plate pixels, and the margin around what it shows. */
const LEAST_CROP = 96
const MARGIN = 0.35

export class Pictures {
  readonly #folder: string
  #opened: { readonly width: number; readonly preview: Preview } | undefined
  #busy: Promise<unknown> = Promise.resolve()

  constructor(folder: string) {
    this.#folder = folder
  }

  /** Undefined when a later ask came before it was done. */
  async frame(
    shot: Shot,
    ask: {
      readonly number: number
      readonly view: FrameView
      readonly width: number
      readonly stops: number
    },
  ): Promise<PreviewFrame | undefined> {
    const preview = await this.#at(shot, ask.width)
    return preview.frame(ask.number, { shot, variant: VARIANTS[ask.view], stops: ask.stops })
  }

  async values(shot: Shot, ask: { number: number; x: number; y: number; width: number }): Promise<Values> {
    const preview = await this.#at(shot, ask.width)
    const { null: plate, plain, result } = await preview.values(ask.number, ask.x, ask.y, shot)
    return { plate, plain, result }
  }

  /** What a tell is about, as PNG. */
  async crop(
    shot: Shot,
    check: CheckResult,
    tell: number,
    role: 'plate' | 'result',
  ): Promise<Uint8Array | undefined> {
    const told = check.tells[tell]
    if (told === undefined) return undefined
    const hands = await realHands(shot, this.#folder)
    // The plate first: it says how the others are seen.
    const plate = await hands.open('plate', join(this.#folder, shot.plate.file))
    const footage = role === 'plate' ? plate : await hands.open('result', check.rendered)
    try {
      const first = role === 'plate' ? (shot.plate.frames?.first ?? 0) : 0
      const look = await footage.look(first + frameOf(told, check, told.frames[0]))
      const { x, y, width, height } = told.region
      const side = (length: number, most: number) =>
        Math.min(Math.max(Math.round(length * (1 + 2 * MARGIN)), LEAST_CROP), most)
      const [w, h] = [side(width, look.width), side(height, look.height)]
      const from = (at: number, length: number, own: number, most: number) =>
        Math.min(Math.max(Math.round(at + (length - own) / 2), 0), most - own)
      const view = look.view({
        x: from(x, width, w, look.width),
        y: from(y, height, h, look.height),
        width: w,
        height: h,
      })
      return await encodeStill(view.rgb, view.width, view.height, 'png', 100)
    } finally {
      await footage.close()
      if (footage !== plate) await plate.close()
    }
  }

  close(): Promise<void> {
    return this.#inTurn(() => this.#end())
  }

  #at(shot: Shot, width: number): Promise<Preview> {
    return this.#inTurn(async () => {
      if (this.#opened?.width === width) return this.#opened.preview
      await this.#end()
      const preview = await openPreview(shot, this.#folder, { width, memoryBytes: MEMORY })
      this.#opened = { width, preview }
      return preview
    })
  }

  async #end(): Promise<void> {
    const opened = this.#opened
    this.#opened = undefined
    await opened?.preview.close()
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#busy.then(work)
    this.#busy = done.catch(() => {})
    return done
  }
}
