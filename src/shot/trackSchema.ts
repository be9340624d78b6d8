/**
 * Tracks: what of the plate's own movement the shot document knows. A track is asked for in the document; what comes of it is
 * computed once (`platefit track`), lies in a file beside the document and is named here with its checksum.
 *
 * Coordinates are plate pixels with edges at whole numbers (the first pixel's centre is 0.5, 0.5), on a plate without lens
 * distortion.
 */
import { z } from 'zod'

const pixel = z.number().min(-65536).max(65536)
export const place = z.tuple([pixel, pixel])
export const name = z.string().regex(/^[a-z0-9][a-z0-9-]*$/, 'lower-case letters, digits and dashes')

/** From the stiffest to the freest; `rotation`: a camera that only turns, about the middle of its lens. */
export const motions = ['translation', 'rotation', 'similarity', 'affine', 'homography', 'mesh'] as const

export const trackSchema = z.strictObject({
  id: name,
  /** Frame of the shot (0-based) on which points and region are drawn; whatever follows the track stands there as the document says. */
  reference: z.number().int().nonnegative().default(0),
  /** Frames of the shot over which it is followed; all when absent. */
  frames: z
    .strictObject({ first: z.number().int().nonnegative(), count: z.number().int().positive() })
    .optional(),
  /** Points of the plate that are followed, on the reference frame. */
  points: z.array(place).min(1).optional(),
  /** Outline of what moves together, on the reference frame: points are found within. Without points and region the whole picture, that is the camera. */
  region: z.array(place).min(3).optional(),
  /** How it may move; when absent the stiffest that the evidence allows. */
  motion: z.enum(motions).optional(),
  /** By hand: what lies at `from` on the reference frame lies at `to` on this one. */
  corrections: z
    .array(z.strictObject({ frame: z.number().int().nonnegative(), from: place, to: place }))
    .optional(),
  /** How far away what it follows stands on the reference frame, along the lens's axis. Two such tracks tell where the camera went. */
  distanceM: z.number().positive().optional(),
  /** Points, matrices or camera angles made elsewhere, CSV or JSON (`chain/place/motion/exchange/`); then nothing is followed here. */
  file: z.string().min(1).optional(),
  /** What came of it: a file beside the document, and the SHA-256 of its bytes. */
  data: z.strictObject({ file: z.string().min(1), sha256: z.string().regex(/^[0-9a-f]{64}$/) }).optional(),
})

/** What goes with a track. */
export const followSchema = z.strictObject({
  track: name,
  /** What of the track's movement is taken: where it is; size as well; turn as well; all of it. */
  take: z.enum(['place', 'size', 'turn', 'all']).default('all'),
  /** `start`: it takes the track's place on the element's first frame, and from there goes with `after` alone, or stays in the picture. */
  hold: z.literal('start').optional(),
  /** A second track, of the camera, that it goes with after `hold`. */
  after: name.optional(),
})

export type Track = z.output<typeof trackSchema>
export type Motion = (typeof motions)[number]
