/** An element's skirt of glare: what is seen of its light, spread by the plate's lens over all that is there. */
import { intersect, type Region } from '../core/index.js'
import type { Sheet } from './element.js'
import { glareReach, paddedTo, withGlare } from './lens/glare/apply.js'
import type { Glare } from './lens/glare/model.js'

/** The sheet must reach as far into the frame as `glareNeeds` says for the window. */
export function glaring(sheet: Sheet, glare: Glare | undefined, window: Region, frame: Region): Sheet {
  if (glare === undefined) return sheet
  const region = intersect(glareReach(glare).touches(sheet.region), window)
  const { image, coverage } = sheet.draw(sheet.region)
  const lit = {
    image: withGlare(image, glare, region, frame),
    coverage: coverage && paddedTo(coverage, region),
  }
  return { ...sheet, region, draw: () => lit }
}
