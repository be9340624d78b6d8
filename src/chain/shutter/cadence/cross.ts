import { type FloatImage, isEmpty, type Region, union } from '../../../core/index.js'
import { newImage } from '../../../kernels/index.js'

/**
 * Two pictures seen together: (1 − share) of the first and `share` of the second, premultiplied linear light and what it covers.
 * Around a picture is nothing.
 */
export function crossed(a: FloatImage, b: FloatImage, share: number): FloatImage {
  const region = union(a.region, b.region)
  const out = newImage(region)
  if (isEmpty(region)) return out
  add(out, a, 1 - share)
  add(out, b, share)
  return out
}

function add(to: FloatImage, { region: r, data }: FloatImage, share: number): void {
  const corner = (of: Region) => 4 * ((r.y - of.y) * of.width + r.x - of.x)
  for (let y = 0; y < r.height; y++) {
    const first = corner(to.region) + 4 * y * to.region.width
    for (let i = 0, p = 4 * y * r.width; i < 4 * r.width; i++, p++) {
      to.data[first + i] = (to.data[first + i] as number) + share * (data[p] as number)
    }
  }
}
