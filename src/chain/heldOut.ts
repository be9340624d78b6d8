/** An element behind what stands before it: hidden part by part, after the lens. */
import { type FloatImage, intersect, type Region } from '../core/index.js'
import { copyImage, cropImage } from '../kernels/index.js'
import type { Sheet } from './element.js'
import { applyHoldout, type Hidden, type Hide } from './place/holdout/apply.js'

export function heldOut(sheet: Sheet, hides: readonly Hide[]): Sheet {
  if (hides.length === 0) return sheet
  return {
    ...sheet,
    draw: (part) => {
      const region = intersect(part, sheet.region)
      const medium = sheet.draw(region)
      const hidden = hides.flatMap((hide) => hide(region) ?? [])
      if (hidden.length === 0) return medium
      const { image, coverage } = medium
      return {
        image: without(image, region, hidden),
        coverage: coverage && without(coverage, region, hidden),
      }
    },
  }
}

/** What is drawn may be kept for other parts: it stays as it is. */
function without(image: FloatImage, region: Region, hidden: readonly Hidden[]): FloatImage {
  const cut = cropImage(image, region)
  const own = cut === image ? copyImage(image) : cut
  for (const h of hidden) applyHoldout(own, h)
  return own
}
