/** A plate without NaN and infinity: what is made of it is made of light. */
import type { NativeFrame, Plane, Region } from '../../core/index.js'
import { type Coding, unpack } from '../../kernels/index.js'
import { type Replaced, replaceNotFinite } from './finite.js'

export interface Mended {
  /** A new frame. */
  readonly frame: NativeFrame
  /** Smallest region that holds every pixel that was changed. */
  readonly touched: Region
  readonly replaced: Replaced
}

/** @param region of a frame of float samples: all that is looked at */
export function mendFrame(frame: NativeFrame, region: Region, coding: Coding): Mended {
  const image = unpack(frame, coding, region)
  const mark = new Uint8Array(region.width * region.height)
  const replaced = replaceNotFinite(image, mark)
  const planes = frame.planes.map((plane, c): Plane => {
    const data = plane.data.slice()
    for (let p = 0; p < mark.length; p++) {
      if (mark[p] === 0) continue
      const y = region.y + Math.floor(p / region.width)
      data[y * plane.width + region.x + (p % region.width)] = image.data[4 * p + c] as number
    }
    return { ...plane, data }
  })
  return { frame: { ...frame, planes }, touched: maskRegion(mark, region), replaced }
}

/** Smallest part of a region that holds every 1 of its mask. */
export function maskRegion(mask: Uint8Array, region: Region): Region {
  const { width } = region
  let x0 = width
  let x1 = -1
  for (let from = 0; from < mask.length; from += width) {
    const row = mask.subarray(from, from + width)
    const first = row.indexOf(1)
    if (first < 0) continue
    x0 = Math.min(x0, first)
    x1 = Math.max(x1, row.lastIndexOf(1))
  }
  const y0 = Math.floor(mask.indexOf(1) / width)
  const y1 = Math.floor(mask.lastIndexOf(1) / width)
  if (x1 < 0) return { x: 0, y: 0, width: 0, height: 0 }
  return { x: region.x + x0, y: region.y + y0, width: x1 - x0 + 1, height: y1 - y0 + 1 }
}
