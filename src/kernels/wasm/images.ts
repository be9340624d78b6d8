import { type FloatImage, intersect, type Region } from '../../core/index.js'
import { copyFloats, filledFloats } from './fill.js'
import { addressOf, duringScratch, memory, newFloats, takeBytes } from './memory.js'

/** A picture of which every value is about to be written. */
export function rawImage(region: Region): FloatImage {
  return { region, data: newFloats(4 * region.width * region.height) }
}

/** A transparent black picture; where it lives: see `duringFrame`. */
export function newImage(region: Region): FloatImage {
  return { region, data: filledFloats(4 * region.width * region.height, 0) }
}

export function copyImage({ region, data }: FloatImage): FloatImage {
  return { region, data: copyFloats(data) }
}

/** The part of a picture that lies in `region`; the picture itself where that is all of it. */
export function cropImage(image: FloatImage, region: Region): FloatImage {
  const from = image.region
  const r = intersect(from, region)
  if (r.width === from.width && r.height === from.height) return image
  const out = rawImage(r)
  for (let y = 0; y < r.height; y++) {
    const i = 4 * ((y + r.y - from.y) * from.width + r.x - from.x)
    out.data.set(image.data.subarray(i, i + 4 * r.width), 4 * y * r.width)
  }
  return out
}

/** Pixels of a strip: a few pictures of so many stay in a core's own cache from one step to the next. */
const STRIP = 2 ** 15

/** A region in strips of rows, as many in each. */
export function stripsOf(region: Region): Region[] {
  const most = Math.ceil(STRIP / Math.max(region.width, 1))
  const count = Math.ceil(region.height / most)
  const rows = Math.ceil(region.height / count)
  return Array.from({ length: count }, (_, i) =>
    intersect({ ...region, y: region.y + i * rows, height: rows }, region),
  )
}

/** Steps that look at one pixel at a time and change it in place, strip by strip. */
export function byStrips(image: FloatImage, work: (strip: FloatImage) => void): void {
  const line = 4 * image.region.width
  for (const region of stripsOf(image.region)) {
    const from = line * (region.y - image.region.y)
    duringScratch(() => work({ region, data: image.data.subarray(from, from + line * region.height) }))
  }
}

/**
 * Runs `work` on the address of `data`, which is carried into the kernels' memory and back where it does not live there.
 *
 * @param changes whether the work writes to it
 */
export function at<T>(data: Float32Array | Uint8Array, changes: boolean, work: (address: number) => T): T {
  const own = addressOf(data)
  if (own !== undefined) return work(own)
  return duringScratch(() => {
    const start = takeBytes(data.byteLength)
    const here = new Uint8Array(data.buffer, data.byteOffset, data.byteLength)
    const there = new Uint8Array(memory.buffer, start, data.byteLength)
    there.set(here)
    const result = work(start)
    if (changes) here.set(there)
    return result
  })
}
