/**
 * Holdout: what stands before the element takes its place. C ← C · (1 − h), α ← α · (1 − h), after the lens. Several hide
 * together what any of them hides: 1 − h = Π (1 − hᵢ).
 *
 * Source: [porter1984] (out).
 */
import { type FloatImage, intersect, type Region } from '../../../core/index.js'

/** How much is hidden of each pixel of a region, 0 to 1, row by row. */
export interface Hidden {
  readonly region: Region
  readonly share: Float32Array
}

/** What hides in a part of the picture: the same bytes as that part of the whole. Undefined where it hides nothing. */
export type Hide = (part: Region) => Hidden | undefined

/** In place, where both lie. */
export function applyHoldout({ region: r, data }: FloatImage, { region: own, share }: Hidden): void {
  const here = intersect(r, own)
  for (let y = here.y; y < here.y + here.height; y++) {
    let p = (y - own.y) * own.width + here.x - own.x
    let i = 4 * ((y - r.y) * r.width + here.x - r.x)
    for (let x = 0; x < here.width; x++, p++, i += 4) {
      const h = share[p] as number
      if (h === 0) continue
      for (let c = 0; c < 4; c++) data[i + c] = (data[i + c] as number) * (1 - h)
    }
  }
}

/** All of them together over a region; 0 where nothing hides. */
export function hiddenShare(hides: readonly Hide[], region: Region): Float32Array {
  const shown = { region, data: new Float32Array(4 * region.width * region.height).fill(1) }
  for (const hide of hides) {
    const hidden = hide(region)
    if (hidden !== undefined) applyHoldout(shown, hidden)
  }
  return Float32Array.from(
    { length: region.width * region.height },
    (_, i) => 1 - (shown.data[4 * i] as number),
  )
}

/** 0 up to `none`, 1 from `full` on, smooth between: s²·(3 − 2·s). `full` may lie below `none`. NaN gives 0. */
export function smoothShare(v: number, none: number, full: number): number {
  const s = (v - none) / (full - none)
  return s > 0 ? (s < 1 ? s * s * (3 - 2 * s) : 1) : 0
}
