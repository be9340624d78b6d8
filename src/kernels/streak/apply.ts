/**
 * Blur by motion: what is seen at each pixel while the shutter is open.
 *
 *   out(p) = (1/N) Σ src(q(tᵢ)),  tᵢ = (i + ½)/N − ½      q  the way of `map.ts`, N its steps
 *
 * The mean over the exposure, in linear light: a box as long as the way, whose transfer sinc(L·f) is 0 first at f = 1/L, exactly so
 * with N equal steps on a straight way [oppenheim2010 §2.6]. Places between pixels by the Catmull-Rom cubic (it adds no blur of
 * its own), each look held as `warp` holds its pixels: what falls below 0 is raised to 0, or to the lowest source value under the
 * filter where that is negative; alpha to 0…1. Outside the source is 0. A pixel depends on its place, the map and the source
 * alone, so any region equals the same part of the whole, bit for bit. Outside the map's frame nothing is seen.
 *
 * Source: [potmesil1983], [keys1981].
 */
import { type FloatImage, intersect, isEmpty, type Region } from '../../core/index.js'
import { cellsOf, warpedRegion, warpSource } from '../warp/map.js'
import { at, newImage } from '../wasm/images.js'
import { duringScratch, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import type { StreakMap } from './map.js'

/** Every source pixel that output pixels of a region can see. */
export const streakSource: (map: StreakMap, region: Region) => Region = warpSource
/** Every output pixel that can see a pixel of `source`. */
export const streakedRegion: (map: StreakMap, source: Region) => Region = warpedRegion

/** The part of the streaked picture in `region`; `src` lies in the same pixels. */
export function streak(src: FloatImage, map: StreakMap, region: Region): FloatImage {
  const out = newImage(region)
  const r = intersect(intersect(region, map.frame), streakedRegion(map, src.region))
  if (isEmpty(r)) return out
  at(src.data, false, (from) =>
    at(out.data, true, (to) => duringScratch(() => rows(src.region, from, map, r, region, to))),
  )
  return out
}

function rows(source: Region, from: number, map: StreakMap, r: Region, region: Region, to: number): void {
  const { frame, step, columns } = map
  const ends = words(map.ends)
  const taps = words(map.taps)
  const [across, down] = cellsOf(map)
  const plane = 4 * columns * map.rows
  const column = r.x - frame.x
  for (let y = r.y; y < r.y + r.height; y++) {
    const row = Math.floor((y - frame.y) / step)
    const cell = Math.min(row, down - 1)
    const above = ends + 4 * columns * row
    const below = ends + 4 * columns * Math.min(row + 1, map.rows - 1)
    simd.streakRow(
      ...([above, below, ((y - frame.y) % step) / step, plane, columns] as const),
      ...([taps + 4 * across * cell, across, step, column] as const),
      ...([from, source.width, source.height, r.x - source.x, y - source.y, r.width] as const),
      to + 16 * ((y - region.y) * region.width + r.x - region.x),
    )
  }
}
