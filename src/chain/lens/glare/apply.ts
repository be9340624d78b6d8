/** The skirt around what shines: `model.ts`. */
import { around, type FloatImage, intersect, isEmpty, type Reach, type Region } from '../../../core/index.js'
import { gaussianBlur, gaussianReach, newImage } from '../../../kernels/index.js'
import { type Glare, MOST_SHARE, PARTS } from './model.js'

/** Light in pixels may reach so far. */
export function glareReach(glare: Glare | undefined): Reach {
  if (glare === undefined) return around(0)
  return around(Math.max(...PARTS.map(([wide]) => gaussianReach(wide * glare[1]))))
}

/** Light and its skirt over a region; what covers the plate stays as it is. */
export function withGlare(image: FloatImage, [asked, width]: Glare, region: Region): FloatImage {
  const share = Math.min(asked, MOST_SHARE)
  const out = newImage(region)
  addLight(out, image, 1 - share)
  for (const [wide, part] of PARTS) addLight(out, gaussianBlur(image, wide * width, region), share * part)
  const here = intersect(image.region, region)
  eachRow(out, image, here, (to, from, count) => {
    for (let k = 3; k < 4 * count; k += 4) out.data[to + k] = image.data[from + k] as number
  })
  return out
}

/** Red, green and blue of `light`, so much of them. */
function addLight(out: FloatImage, light: FloatImage, share: number): void {
  eachRow(out, light, intersect(out.region, light.region), (to, from, count) => {
    for (let k = 0; k < 4 * count; k += 4) {
      for (let c = k; c < k + 3; c++)
        out.data[to + c] = (out.data[to + c] as number) + share * (light.data[from + c] as number)
      out.data[to + k + 3] = 0
    }
  })
}

function eachRow(
  a: FloatImage,
  b: FloatImage,
  here: Region,
  work: (inA: number, inB: number, count: number) => void,
): void {
  if (isEmpty(here)) return
  const at = ({ region }: FloatImage, y: number) =>
    4 * ((y - region.y) * region.width + here.x - region.x)
  for (let y = here.y; y < here.y + here.height; y++) work(at(a, y), at(b, y), here.width)
}
