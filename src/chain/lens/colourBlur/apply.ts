/**
 * Longitudinal aberration: colours come to focus at unlike distances, so that each has a circle of confusion of its own.
 *
 *   radius_red = f_red · radius    radius_blue = f_blue · radius
 *
 * As a factor of green's radius it holds on one side of the focus; at the focus itself nothing is blurred. Source: common practice.
 */
import { type FloatImage, union } from '../../../core/index.js'
import { newImage } from '../../../kernels/index.js'

/** Factors of red and blue. */
export type ColourBlur = readonly [number, number]

export function widest([red, blue]: ColourBlur): number {
  return Math.max(red, 1, blue)
}

/**
 * Light out of focus, and what covers red, green and blue of the plate (and green once more) where these differ.
 *
 * @param blur the light blurred by its radii times a factor
 */
export function blurByColour(
  [red, blue]: ColourBlur,
  blur: (factor: number) => FloatImage,
): { image: FloatImage; coverage: FloatImage | undefined } {
  if (red === 1 && blue === 1) return { image: blur(1), coverage: undefined }
  const blurred = [red, 1, blue].map(blur)
  const region = blurred.map((b) => b.region).reduce(union)
  const image = newImage(region)
  const coverage = newImage(region)
  blurred.forEach((b, c) => {
    take(image, b, c, c)
    take(coverage, b, 3, c)
    if (c !== 1) return
    take(image, b, 3, 3)
    take(coverage, b, 3, 3)
  })
  return { image, coverage }
}

function take(into: FloatImage, from: FloatImage, channel: number, as: number): void {
  const { width, height, x, y } = from.region
  for (let row = 0; row < height; row++) {
    let i = 4 * ((row + y - into.region.y) * into.region.width + x - into.region.x) + as
    let k = 4 * row * width + channel
    for (let column = 0; column < width; column++, i += 4, k += 4) into.data[i] = from.data[k] as number
  }
}
