/** Light as the lens dims it toward the corners, and back. */
import { type FloatImage, POINTWISE, type Region } from '../../../core/index.js'
import { copyImage } from '../../../kernels/index.js'
import { cornerSquared, falloff, type Vignette } from './model.js'

/** A pixel is dimmed by its place alone. */
export const vignetteReach = POINTWISE

/** In place on linear light, red, green and blue; what covers the plate stays. */
export function applyVignette(image: FloatImage, v: Vignette, frame: Region): void {
  scaleBy(image, frame, (rr) => falloff(v, rr))
}

/** What fell on the lens, as a new picture. */
export function withoutVignette(image: FloatImage, v: Vignette, frame = image.region): FloatImage {
  const out = copyImage(image)
  scaleBy(out, frame, (rr) => 1 / falloff(v, rr))
  return out
}

function scaleBy({ region, data }: FloatImage, frame: Region, gain: (rr: number) => number): void {
  const corner = cornerSquared(frame)
  const [x0, y0] = [frame.x + frame.width / 2 - 0.5, frame.y + frame.height / 2 - 0.5]
  for (let y = region.y, i = 0; y < region.y + region.height; y++) {
    const dy = (y - y0) * (y - y0)
    for (let x = region.x; x < region.x + region.width; x++, i += 4) {
      if (data[i] === 0 && data[i + 1] === 0 && data[i + 2] === 0) continue
      const g = gain(((x - x0) * (x - x0) + dy) / corner)
      for (let c = i; c < i + 3; c++) data[c] = (data[c] as number) * g
    }
  }
}
