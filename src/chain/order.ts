/**
 * Depth order: far elements first; what stands inside another is laid between that one's two halves.
 *
 * A medium of coverage α splits into two equal halves of optical depth τ/2:
 *
 *   α½ = 1 − √(1 − α)      C½ = C / (1 + √(1 − α))      so that half over half is the whole
 *
 * Source: Beer–Lambert, [porter1984].
 */
import type { FloatImage } from '../core/index.js'
import { copyImage, halveDepth } from '../kernels/index.js'

export interface Depth {
  readonly id: string
  /** Metres; undefined stands nearest, in the document's order. */
  readonly distanceM: number | undefined
  readonly inside: string | undefined
}

/** One step of laying over: a whole layer, or the back or front half of one that holds another. */
export interface Step {
  readonly id: string
  readonly part: 'whole' | 'back' | 'front'
}

/** Steps from far to near. */
export function depthOrder(elements: readonly Depth[]): Step[] {
  const far = elements
    .map((e, i) => ({ e, i }))
    .sort((a, b) => (b.e.distanceM ?? 0) - (a.e.distanceM ?? 0) || a.i - b.i)
    .map(({ e }) => e)
  const lay = (e: Depth): Step[] => {
    const inner = far.filter((o) => o.inside === e.id)
    if (inner.length === 0) return [{ id: e.id, part: 'whole' }]
    return [{ id: e.id, part: 'back' }, ...inner.flatMap(lay), { id: e.id, part: 'front' }]
  }
  return far.filter((e) => e.inside === undefined).flatMap(lay)
}

/** A picture of a medium, and the coverage of its red, green, blue (and green again) where these lie apart. */
export interface Medium {
  readonly image: FloatImage
  readonly coverage: FloatImage | undefined
}

/** Half of a medium's depth, in every channel, as new pictures. */
export function halfOf({ image, coverage }: Medium): Medium {
  const half = copyImage(image)
  const halves = coverage === undefined ? undefined : copyImage(coverage)
  halveDepth(half, halves)
  return { image: half, coverage: halves }
}
