/** Shapes drawn over the plate: outlines of what stands before an element. Coordinates as those of tracks (`trackSchema.ts`). */
import { z } from 'zod'
import { followSchema, name, place } from './trackSchema.js'

export const shapeSchema = z.strictObject({
  id: name,
  /** Spline: a closed curve through the points (centripetal Catmull-Rom); polygon: straight from point to point. */
  kind: z.enum(['polygon', 'spline']).default('spline'),
  /** Width of the soft border, half of it on each side of the outline, px. */
  featherPx: z.number().nonnegative().max(1000).default(1.5),
  /** Frames of the shot on which it hides; all when absent: before its first key and after its last it stands still, and hides. */
  frames: z
    .strictObject({ first: z.number().int().nonnegative(), count: z.number().int().positive() })
    .optional(),
  /** What lies here stands before every element that is farther away. */
  distanceM: z.number().positive().optional(),
  /** The outline on frames of the shot, with the same number of points everywhere: linear between keys, held outside. */
  keys: z
    .array(
      z.strictObject({
        frame: z.number().int().nonnegative(),
        points: z.array(place).min(3),
        /** Carried here from its neighbours by the picture itself; without it drawn by hand. */
        carried: z.strictObject({ spreadPx: z.number().nonnegative() }).optional(),
      }),
    )
    .min(1),
  /** A track that the outline goes with, besides its keys. */
  follow: followSchema.pick({ track: true, take: true }).optional(),
})

/** What stands before an element: together they hide what any of them hides. */
export const holdoutSchema = z.strictObject({
  /** Matte (white: stands before the element) of plate size: a still or a sequence from the shot's first frame. */
  file: z.string().min(1).optional(),
  layer: z.string().min(1).optional(),
  still: z.literal(true).optional(),
  /** Shapes of this document. */
  shapes: z.array(name).min(1).optional(),
  /** By the plate's own luminance, linear: hidden where it is beyond `full`, not at all before `none`. `full` below `none` hides the dark. */
  luminance: z.strictObject({ none: z.number(), full: z.number() }).optional(),
  /** By the site's depth map: whatever is nearer than the element hides it. */
  depth: z.literal(true).optional(),
})

/** How far away each pixel of the plate is: a still or a sequence from the shot's first frame, its first channel. */
export const depthSchema = z.strictObject({
  file: z.string().min(1),
  layer: z.string().min(1).optional(),
  still: z.literal(true).optional(),
  /** `metres`: d = a·v + b; `inverse` and disparity: 1/d = a·v + b. */
  unit: z.enum(['metres', 'inverse']).default('metres'),
  a: z.number().default(1),
  b: z.number().default(0),
})

export type Holdout = z.output<typeof holdoutSchema>
