/**
 * A picture bent by a map, each channel by a map of its own where it is coloured: distortion and lateral aberration in one gather.
 *
 *   value = Σ k(i − u)·k(j − v)·source(i, j),  (u, v) the channel's source position     alpha by green's
 *
 *   k  Catmull-Rom cubic (B = 0, C = ½): a picture moved by whole pixels stays itself; where the map shrinks, stretched so that
 *      every source pixel counts (`stretch.ts`), its weights then made to sum to 1
 *
 * Outside the source is transparent black. A result below 0 is raised to 0, or to the lowest source value under the filter where
 * that is negative; alpha is held to 0…1. An output pixel depends on its place, the map and the source alone, so any region
 * equals the same part of the whole, bit for bit. Outside the map's frame nothing is seen.
 *
 * Source: [keys1981], [mitchell1988].
 */
import type { FloatImage, Region } from '../../core/index.js'
import type { WarpMap } from './map.js'
import { warp as plain } from './scalar.js'

export interface Warped {
  /** Premultiplied R, G, B, each from its own position, and alpha from green's. */
  readonly image: FloatImage
  /** Of a coloured map: alpha from the position of red, green, blue, and green once more. */
  readonly coverage: FloatImage | undefined
}

/** The part of the bent picture in `region`; `src` lies in the same pixels. */
export function warp(src: FloatImage, map: WarpMap, region: Region): Warped {
  return plain(src, map, region)
}
