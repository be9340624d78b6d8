import { EMPTY, type NativeFrame, type Plane, type Region } from '../../../core/index.js'
import type { AlphaKind } from './apply.js'

/**
 * The part of `part` in which a file's alpha leaves anything: straight colour of no coverage is no light. Other kinds
 * can hold light where alpha is 0, and float samples NaN that is filled from its neighbours: nothing is left out there.
 */
export function alphaSupport(frame: NativeFrame, kind: AlphaKind, part: Region): Region {
  const alpha = frame.planes[3]
  return kind !== 'straight' || frame.layout.float || alpha === undefined ? part : filled(alpha, part)
}

/** Smallest region that holds every sample above 0; rows are looked at from their ends as far as is still open. */
function filled({ data, width }: Plane, { x, y, width: wide, height }: Region): Region {
  const first = (row: number, end: number) => {
    const from = row * width + x
    for (let i = 0; i < end; i++) if ((data[from + i] as number) > 0) return i
    return end
  }
  const last = (row: number, from: number) => {
    for (let i = wide - 1; i > from; i--) if ((data[row * width + x + i] as number) > 0) return i
    return from
  }
  let top = y
  while (top < y + height && first(top, wide) === wide) top++
  if (top === y + height) return EMPTY
  let bottom = y + height - 1
  while (first(bottom, wide) === wide) bottom--
  let left = wide
  let right = -1
  for (let row = top; row <= bottom; row++) {
    left = first(row, left)
    right = last(row, right)
  }
  return { x: x + left, y: top, width: right - left + 1, height: bottom - top + 1 }
}
