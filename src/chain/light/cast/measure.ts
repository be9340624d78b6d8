import { type FloatImage, intersect, type Reading, type Rgb } from '../../../core/index.js'
import { type Surface, surfaceReach, surfaceShare } from './model.js'

/** Mean light of a surface, by its share of each pixel. */
export function measureSurface(
  image: FloatImage,
  surface: Omit<Surface, 'mean'>,
  frame: number,
): Reading<Rgb> {
  const whole = { ...surface, mean: [0, 0, 0] as Rgb }
  const region = intersect(surfaceReach(whole), image.region)
  const sum: [number, number, number] = [0, 0, 0]
  let weight = 0
  for (let y = region.y; y < region.y + region.height; y++) {
    for (let x = region.x; x < region.x + region.width; x++) {
      const w = surfaceShare(whole, x, y)
      if (w === 0) continue
      const i = 4 * ((y - image.region.y) * image.region.width + x - image.region.x)
      weight += w
      for (const c of [0, 1, 2] as const) sum[c] += w * (image.data[i + c] as number)
    }
  }
  if (weight < 16) return { cannotTell: 'the surface lies outside the picture' }
  return {
    value: [sum[0] / weight, sum[1] / weight, sum[2] / weight],
    evidence: { kind: 'measured', frames: [frame], region, method: 'mean over the polygon', confidence: 0.9 },
  }
}
