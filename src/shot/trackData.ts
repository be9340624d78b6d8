/** What came of following a track: the file that lies beside the document, in `NAME.tracks/`. Pure data; coordinates as in `trackSchema.ts`. */
import { z } from 'zod'
import { motions, place } from './trackSchema.js'

export const TRACK_VERSION = 1

/** `tracked`: seen there; `corrected`: by hand; `bridged`: hidden or too blurred, carried over from both sides; `lost`: not known, a guess. */
const state = z.enum(['tracked', 'corrected', 'bridged', 'lost'])

const frame = z.strictObject({
  /** Of the shot, 0-based. */
  frame: z.number().int().nonnegative(),
  state,
  /** Row-major 3 × 3, from the reference frame's pixels to this one's; its last number is 1. The last known one where it is lost. */
  matrix: z.array(z.number()).length(9),
  /** Mesh alone: offsets of the nodes from where the matrix puts them, dx and dy in turn, row by row, px of this frame. */
  nodes: z.array(z.number()).optional(),
  /** Standard deviation of where a followed place lies, px; grows over bridges. */
  spreadPx: z.number().nonnegative(),
  /** Points that agree, of those that were seen. */
  agree: z.number().int().nonnegative(),
  seen: z.number().int().nonnegative(),
})

export const trackDataSchema = z.strictObject({
  platefitTrack: z.literal(TRACK_VERSION),
  id: z.string(),
  /** SHA-256 of all it depends on: the plate's content and lens, the track as it is asked for. */
  madeFrom: z.string().regex(/^[0-9a-f]{64}$/),
  plate: z.strictObject({ width: z.number().int().positive(), height: z.number().int().positive() }),
  reference: z.number().int().nonnegative(),
  motion: z.enum(motions),
  /** Why this motion and none that is stiffer or freer. */
  why: z.string(),
  mesh: z
    .strictObject({
      x: z.number(),
      y: z.number(),
      width: z.number().positive(),
      height: z.number().positive(),
      columns: z.number().int().min(2),
      rows: z.number().int().min(2),
    })
    .optional(),
  frames: z.array(frame).min(1),
  /** Points one by one: where each was seen, and by hand; `[frame, x, y, spread in px]`. */
  points: z.array(
    z.strictObject({
      from: place,
      seen: z.array(
        z.tuple([z.number().int().nonnegative(), z.number(), z.number(), z.number().nonnegative()]),
      ),
    }),
  ),
  /** Frames with which the picture jumps: a cut, lost frames, a knock, another lens. */
  jumps: z.array(z.number().int().nonnegative()).default([]),
  /** What is to be said of it to a person: jumps, bridges, a plate that was stabilised. */
  said: z.array(z.string()).default([]),
})

export type TrackData = z.output<typeof trackDataSchema>
export type TrackFrame = TrackData['frames'][number]
