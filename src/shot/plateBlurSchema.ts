/** A blur of the plate itself: by its own radii along a line, or by the site's depth map. Lengths in plate px. */
import { z } from 'zod'
import { name } from './trackSchema.js'

/** Radii beyond it need more memory than they are worth: a choice. */
export const WIDEST_PX = 128

const place = z.number().min(-65536).max(65536)
const radius = z.number().min(-WIDEST_PX).max(WIDEST_PX)

export const plateBlurSchema = z.strictObject({
  /** Shapes of this document inside which it is blurred, by as much as they cover; all of the picture when absent. */
  shapes: z.array(name).min(1).optional(),
  /** x, y and radius at one place, then at another: straight between them, held beyond; radii below 0 lie nearer than the focus. */
  gradient: z.tuple([place, place, radius, place, place, radius]).optional(),
  /** Radius of an endlessly far point, and the distance that is in focus. */
  depth: z
    .strictObject({ endlessPx: z.number().nonnegative().max(WIDEST_PX), focusM: z.number().positive() })
    .optional(),
})
