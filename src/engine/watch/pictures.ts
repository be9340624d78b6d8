/** The pictures of an element as they show over a shot: thumbnails, and whether each differs from the one before. */
import { thumbnail } from '../../chain/place/repeat/thumbnail.js'
import type { NativeFrame } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import { lumaOf } from '../track/luma.js'
import type { Anchor } from './anchor.js'

export interface Pictures {
  /** Frames of the shot on which one picture alone shows, ascending. */
  readonly frames: readonly number[]
  /** Which of the file's pictures that is. */
  readonly numbers: readonly number[]
  readonly thumbnails: readonly Float32Array[]
}

/** What a picture differs from the one before by, of what pictures usually differ by, to count as another. */
const ANOTHER = 0.05

export async function picturesOf(a: Anchor, source: Source, frames: readonly number[]): Promise<Pictures> {
  const shown = frames.flatMap((frame) => {
    const s = a.shown(frame)
    return s === undefined ? [] : [{ frame, number: s.frame, crossing: s.into !== undefined }]
  })
  const own = shown.filter((s) => !s.crossing)
  const made = await thumbnailsOf(
    source,
    [...new Set(own.map((s) => s.number))].sort((x, y) => x - y),
  )
  const kept = own.filter((s) => made.has(s.number))
  return {
    frames: kept.map((s) => s.frame),
    numbers: kept.map((s) => s.number),
    thumbnails: kept.map((s) => made.get(s.number) as Float32Array),
  }
}

/** Read in one go: what lies between is left out. */
async function thumbnailsOf(source: Source, numbers: readonly number[]): Promise<Map<number, Float32Array>> {
  const out = new Map<number, Float32Array>()
  const [first, last] = [numbers[0], numbers.at(-1)]
  if (first === undefined || last === undefined || source.info.frameCount < 2) return out
  const wanted = new Set(numbers)
  let n = first
  for await (const frame of source.frames(first, last - first + 1)) {
    if (wanted.has(n)) out.set(n, thumbnailOf(frame))
    n++
  }
  return out
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
