/**
 * By the plate's own light: what is brighter (or darker) than the air between stands before the element. For a bright window
 * behind which something burns, or a dark frame before it; the plate's grain is in it, so a narrow ramp shows grain as holes.
 *
 *   h = smooth((Y − none) / (full − none))        Y  linear luminance in the plate's primaries, diffuse white = 1
 */
import type { FloatImage, Region, Rgb } from '../../../core/index.js'
import { type Hide, smoothShare } from './apply.js'

export interface Ramp {
  readonly none: number
  readonly full: number
}

/**
 * @param light the plate's linear light in a part of the picture
 * @param weights of red, green and blue in its luminance
 */
export function luminanceHide(light: (part: Region) => FloatImage, weights: Rgb, { none, full }: Ramp): Hide {
  const [r, g, b] = weights
  return (part) => {
    const { region, data } = light(part)
    const share = new Float32Array(region.width * region.height)
    for (let p = 0, i = 0; p < share.length; p++, i += 4) {
      const y = r * (data[i] as number) + g * (data[i + 1] as number) + b * (data[i + 2] as number)
      share[p] = smoothShare(y, none, full)
    }
    return { region, share }
  }
}
