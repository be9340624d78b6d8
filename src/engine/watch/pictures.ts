/** The pictures of an element as they show over a shot: thumbnails, and whether each differs from the one before. */
import { thumbnail } from '../../chain/place/repeat/thumbnail.js'
import type { NativeFrame } from '../../core/index.js'
import type { Picture } from '../plan.js'
import { lumaOf } from '../track/luma.js'
import type { Anchor } from './anchor.js'

/** What a picture differs from the one before by, of what pictures usually differ by, to count as another. */
const ANOTHER = 0.05

export class Pictures {
  /** Frames of the shot on which one picture alone shows, ascending. */
  readonly frames: number[] = []
  /** Which of the file's pictures that is. */
  readonly numbers: number[] = []
  readonly thumbnails: Float32Array[] = []
  readonly #anchor: Anchor
  readonly #count: number
  readonly #made = new Map<number, Float32Array>()

  constructor(anchor: Anchor, { frameCount }: Picture) {
    this.#anchor = anchor
    this.#count = frameCount
  }

  /** Of a still nothing is kept: it is always the same. */
  next(frame: number, picture: NativeFrame): void {
    const number = this.#anchor.shown(frame)?.frame
    if (number === undefined || this.#count < 2) return
    const made = this.#made.get(number) ?? thumbnailOf(picture)
    this.#made.set(number, made)
    this.frames.push(frame)
    this.numbers.push(number)
    this.thumbnails.push(made)
  }
}

export function thumbnailOf(frame: NativeFrame): Float32Array {
  const { layout, width, height } = frame
  const luma = lumaOf(frame)
  const alpha = layout.alpha ? frame.planes[3]?.data : undefined
  const top = layout.float ? 1 : 2 ** layout.bits - 1
  return thumbnail({ width, height, light: luma.data, alpha, top })
}

/** For each thumbnail whether it differs from the one before; `true` for the first. */
export function changes(thumbnails: readonly Float32Array[]): boolean[] {
  const away = thumbnails.map((t, k) => {
    const before = thumbnails[k - 1]
    return before === undefined ? 0 : t.reduce((s, v, i) => s + Math.abs(v - (before[i] as number)), 0)
  })
  const usual = away.filter((v) => v > 0).sort((x, y) => x - y)
  const limit = ANOTHER * (usual[Math.floor(0.75 * usual.length)] ?? 0)
  return away.map((v, k) => k === 0 || v > limit)
}
