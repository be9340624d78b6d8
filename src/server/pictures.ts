/** Frames of an opened shot for the page, and what stands at a point of them. */
import { join } from 'node:path'
import type { PreviewFrame } from '../engine/index.js'
import type { Studio } from '../engine/preview/studio.js'
import { type View, Viewer } from '../engine/preview/viewer.js'
import type { CheckResult, Variant } from '../engine/types.js'
import { encodeStill } from '../media/index.js'
import { frameOf } from '../report/choose.js'
import { realHands } from '../report/footage.js'
import type { Shot } from '../shot/index.js'
import type { FrameAsk, FrameView, Values, ValuesAsk } from './protocol.js'

const VARIANTS: Readonly<Record<FrameView, Variant>> = { plate: 'null', plain: 'plain', result: 'result' }
/** Least side of a tell's crop in plate pixels, and the margin around what it shows. */
const LEAST_CROP = 96
const MARGIN = 0.35

/** A state of the shot, and of its files by `Files.stamps`. */
type ShotAndFiles = Required<Pick<View, 'shot' | 'stamps'>>

export class Pictures {
  readonly #folder: string
  readonly #viewer: Viewer

  /** @param studio of all shots */
  constructor(folder: string, studio: Studio) {
    this.#folder = folder
    this.#viewer = new Viewer(folder, studio)
  }

  /** Undefined when the same page asked again before it was done. */
  frame(
    state: ShotAndFiles,
    { number, view, page = '', ...ask }: Omit<FrameAsk, 'path' | 'edit'>,
  ): Promise<PreviewFrame | undefined> {
    return this.#viewer.frame(number, { ...state, variant: VARIANTS[view], asker: page, ...ask })
  }

  async values(state: ShotAndFiles, { number, x, y, width }: Omit<ValuesAsk, 'path'>): Promise<Values> {
    const { null: plate, plain, result } = await this.#viewer.values(number, x, y, { ...state, width })
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

  /** Closes the files until the next ask. */
  rest(): Promise<void> {
    return this.#viewer.rest()
  }

  close(): Promise<void> {
    return this.#viewer.close()
  }
}
