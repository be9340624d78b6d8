/** The skirt around what shines: `model.ts`. */
import {
  around,
  type FloatImage,
  intersect,
  isEmpty,
  POINTWISE,
  type Reach,
  type Region,
} from '../../../core/index.js'
import { gaussianBlur, gaussianReach, newImage } from '../../../kernels/index.js'
import { type Glare, PARTS } from './model.js'

/** Light in pixels may reach so far. */
export function glareReach(glare: Glare | undefined): Reach {
  if (glare === undefined) return POINTWISE
  return around(Math.max(...PARTS.map(([wide]) => gaussianReach(wide * glare.width))))
}

/** Skirts below this much light are not drawn, so that no sample is touched which nobody sees changed: 1/10 of an 8-bit code in black. */
const LEAST = 2 ** -14

/** Light and its skirt over a region; what covers the plate stays as it is. */
export function withGlare(image: FloatImage, { share, width }: Glare, region: Region): FloatImage {
  const out = newImage(region)
  for (const [wide, part] of PARTS) addLight(out, gaussianBlur(image, wide * width, region), share * part)
  for (let i = 0; i < out.data.length; i++) out.data[i] = Math.max((out.data[i] as number) - LEAST, 0)
  addLight(out, image, 1 - share)
  const here = intersect(image.region, region)
  eachRow(out, image, here, (to, from, count) => {
    for (let k = 3; k < 4 * count; k += 4) out.data[to + k] = image.data[from + k] as number
  })
  return out
}

/** The same picture over another region, with nothing where it has none. */
export function paddedTo(image: FloatImage, region: Region): FloatImage {
  const out = newImage(region)
  eachRow(out, image, intersect(image.region, region), (to, from, count) => {
    out.data.set(image.data.subarray(from, from + 4 * count), to)
  })
  return out
}

/** Red, green and blue of `light`, so much of them. */
function addLight(out: FloatImage, light: FloatImage, share: number): void {
  eachRow(out, light, intersect(out.region, light.region), (to, from, count) => {
    for (let k = 0; k < 4 * count; k += 4) {
      for (let c = k; c < k + 3; c++)
        out.data[to + c] = (out.data[to + c] as number) + share * (light.data[from + c] as number)
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
  const at = ({ region }: FloatImage, y: number) => 4 * ((y - region.y) * region.width + here.x - region.x)
  for (let y = here.y; y < here.y + here.height; y++) work(at(a, y), at(b, y), here.width)
}
