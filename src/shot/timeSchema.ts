/** An element's own time and movement: what it does besides where the plate carries it. */
import { z } from 'zod'

/** Metres a second in the air of the place; needs the element's distance and the camera. */
export const driftSchema = z.strictObject({
  acrossMs: z.number().min(-100).max(100).default(0).describe('To the right of the picture.'),
  upMs: z.number().min(-100).max(100).default(0).describe('Upward.'),
  awayMs: z.number().min(-100).max(100).default(0).describe('Away from the camera: it gets smaller.'),
})

export const timeSchema = z.strictObject({
  /** Element frames a plate frame beyond what the rates say: 2 is twice as fast. */
  speed: z.number().positive().max(100).default(1),
  /**
   * Which pictures show where the rates differ. `nearest` (when absent): whole ones, the nearest in time; steps are uneven. `held`:
   * whole ones, each until the next is due, as a pulldown has it. `blend`: two by how near they are; even, but what moves is doubled. `flow`: those
   * between are made along the optical flow; even and single, but what comes out from behind something tears.
   */
  conform: z.enum(['nearest', 'held', 'blend', 'flow']).optional(),
  /**
   * Shows its first picture from the shot's first frame on, its last one to the end. Where nothing is said a single picture is held
   * to the end and all else is not; `none` shows a single picture on one frame.
   */
  hold: z.enum(['first', 'last', 'both', 'none']).optional(),
  /** Goes round within these frames of the element, each round crossing over into the next. */
  loop: z
    .strictObject({
      first: z.number().int().nonnegative(),
      count: z.number().int().min(2),
      /** Element frames over which a round's end crosses into the next one's beginning. */
      cross: z.number().int().nonnegative().default(0),
      /** Each round begins somewhere else, told by this number, so that no repeat is seen. */
      seed: z.number().int().nonnegative().optional(),
    })
    .optional(),
})

/** It is a pulse of light: its first picture shows, on those rows of those frames that are open then. Needs `camera.readoutMs`. */
export const flashSchema = z.strictObject({
  atMs: z.number().describe('When it begins, from the opening of the first row of frame 0.'),
  lengthMs: z.number().positive().max(1000).describe('How long it lasts.'),
})
