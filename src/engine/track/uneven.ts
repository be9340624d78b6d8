/**
 * Whether a whole picture goes as one. A camera that only turns carries near and far alike; one that moves does not, and the motion that
 * most marks go with is then that of some of the parts. So the picture is looked at in squares: what half of the known marks of a square
 * are off the common motion, along each axis.
 */
import type { Uneven } from '../../chain/place/motion/seen.js'
import type { Place } from '../../vision/index.js'
import { middle } from './matrix.js'

/** Squares along the longer side. */
const SQUARES = 6
/** Marks that a square needs. */
const LEAST = 3

/** @param seen where each known mark lies, and how far that is from where the common motion carries it, px */
export function unevenOf(
  seen: readonly { readonly at: Place; readonly off: Place }[],
  { width, height }: { readonly width: number; readonly height: number },
): Omit<Uneven, 'frame'> | undefined {
  const side = Math.max(width, height) / SQUARES
  const squares = new Map<string, Place[]>()
  for (const { at, off } of seen) {
    const key = `${Math.floor(at[0] / side)},${Math.floor(at[1] / side)}`
    squares.set(key, [...(squares.get(key) ?? []), off])
  }
  const parts = [...squares].flatMap(([key, offs]) => {
    if (offs.length < LEAST) return []
    const by: Place = [middle(offs.map((o) => o[0])), middle(offs.map((o) => o[1]))]
    const [i, j] = key.split(',').map(Number) as [number, number]
    return [{ at: [(i + 0.5) * side, (j + 0.5) * side] as const, px: Math.hypot(...by) }]
  })
  if (parts.length === 0) return undefined
  const worst = parts.reduce((a, b) => (b.px > a.px ? b : a))
  const square = parts.reduce((sum, p) => sum + p.px ** 2, 0) / parts.length
  return { rmsPx: Math.sqrt(square / 2), worst: worst.at, worstPx: worst.px }
}
