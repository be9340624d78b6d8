/**
 * Fine detail of what was laid over a plate, in code values, without the detail that the plate itself shows through it: a camera has
 * worked on that already.
 *
 *   H = (u − w∗u) − k·(b − w∗b)
 *
 *   u  luma or chroma with the layer      b  the same before it      w  Gaussian, at the frame's border of what lies inside
 *   k  how much of b's detail stands in u: 1 where nothing was laid over, so that there H is 0 to the bit
 *
 * The edge between a layer and the plate beside it is detail of what was laid over; so is the plate's side of it.
 */
import type { FloatImage, Region } from '../../core/index.js'
import { gaussianBlur, newFloats, newImage } from '../../kernels/index.js'

export interface Both {
  readonly region: Region
  readonly after: Float32Array
  readonly before: Float32Array
}

/** One value a pixel; lies in the caller's scratch. */
export function detailOf({ region, after, before }: Both, kept: Float32Array, sigma: number): Float32Array {
  const image: FloatImage = newImage(region)
  const { data } = image
  for (let p = 0, i = 0; p < after.length; p++, i += 4) {
    data[i] = after[p] as number
    data[i + 1] = before[p] as number
    data[i + 3] = 1
  }
  const soft = gaussianBlur(image, sigma, region).data
  const out = newFloats(after.length)
  for (let p = 0, i = 0; p < after.length; p++, i += 4) {
    const inside = soft[i + 3] as number
    const own = (after[p] as number) - (soft[i] as number) / inside
    out[p] = own - (kept[p] as number) * ((before[p] as number) - (soft[i + 1] as number) / inside)
  }
  return out
}
