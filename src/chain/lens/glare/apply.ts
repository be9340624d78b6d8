/** The skirt around what shines: `model.ts`. */
import {
  around,
  type FloatImage,
  intersect,
  isEmpty,
  POINTWISE,
  type Reach,
  type Region,
  union,
} from '../../../core/index.js'
import { gaussianBlur, gaussianReach, newImage } from '../../../kernels/index.js'
import { type Glare, PARTS } from './model.js'

/** Light in pixels may reach so far. */
export function glareReach(glare: Glare | undefined): Reach {
  if (glare === undefined) return POINTWISE
  return around(Math.max(...PARTS.map(([wide]) => gaussianReach(wide * glare.width))))
}

/** What light a part is made from: what lies in its skirts, and what else lies in the skirts of its own light. */
export function glareNeeds(glare: Glare | undefined, part: Region): Region {
  const reach = glareReach(glare)
  return reach.needs(reach.needs(part))
}

/** Skirts below this much light are not drawn, so that no sample is touched which nobody sees changed: 1/10 of an 8-bit code in black. */
const LEAST = 2 ** -14

/**
 * Light and its skirt over a region; what covers the plate stays as it is.
 *
 *   S = e · L ∗ K     D = min(S, 2 · max(S − 2⁻¹⁴, 0))     out = L · (1 − e · (1 − K ∗ (1 − D / S))) + D
 *
 * D is what is drawn of the skirt S (all of it, from 2⁻¹³ on). What is not drawn stays where it came from, each pixel's own share
 * of it: K is the same both ways, so that the sum stays (to 1e-4 of what is not drawn: K's small
 * pictures). What a skirt carries over the frame's border is lost, drawn or not.
 *
 * @param image as far as {@link glareNeeds} says for the region
 */
export function withGlare(image: FloatImage, glare: Glare, region: Region, frame: Region): FloatImage {
  const { share } = glare
  const here = intersect(image.region, region)
  const around = union(region, intersect(glareReach(glare).touches(here), frame))
  const skirt = spread(image, glare, around)
  const drawn = newImage(around)
  for (let i = 0; i < drawn.data.length; i++) {
    const light = share * (skirt.data[i] as number)
    drawn.data[i] = Math.min(light, 2 * Math.max(light - LEAST, 0))
    // What of the skirt stays where it came from; nothing of what lies beyond the frame.
    skirt.data[i] = light > 0 ? 1 - (drawn.data[i] as number) / light : 1
  }
  const stays = spread(paddedTo(skirt, intersect(around, frame)), glare, here)
  const out = paddedTo(drawn, region)
  eachRow(stays, image, here, (own, from, count) => {
    for (let k = 0; k < 4 * count; k += 4) {
      for (let c = k; c < k + 3; c++)
        stays.data[own + c] =
          (1 - share + share * (stays.data[own + c] as number)) * (image.data[from + c] as number)
    }
  })
  addLight(out, stays, 1)
  eachRow(out, image, here, (to, from, count) => {
    for (let k = 3; k < 4 * count; k += 4) out.data[to + k] = image.data[from + k] as number
  })
  return out
}

/** Light ∗ K. */
function spread(light: FloatImage, { width }: Glare, region: Region): FloatImage {
  const out = newImage(region)
  for (const [wide, part] of PARTS) addLight(out, gaussianBlur(light, wide * width, region), part)
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
