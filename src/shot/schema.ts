/**
 * The shot document `NAME.shot.json`: what a shot is made of and how each element is treated, with the evidence of every
 * number. Pure data; paths inside are relative to the document's folder. Unknown keys are refused.
 */
import { z } from 'zod'
import { elementParams, plateParams } from '../chain/params.js'
import type { Param, ParamForm } from '../core/index.js'
import { evidence, file, fileEvidence, positive, region, spoken } from './fileSchema.js'
import { plateBlurSchema } from './plateBlurSchema.js'
import { holdoutSchema, shapeSchema } from './shapeSchema.js'
import { cameraSchema, siteSchema } from './siteSchema.js'
import { driftSchema, flashSchema, timeSchema } from './timeSchema.js'
import { followSchema, place, trackSchema } from './trackSchema.js'

export const SHOT_VERSION = 1

const pixels = z.number().min(-65536).max(65536)

function treatment(p: Param) {
  const number = z.number().min(p.min).max(p.max)
  const value = p.count === 0 ? z.array(number) : z.array(number).length(p.count)
  const told = p.forms === undefined ? z.strictObject({ value, evidence }) : formed(number, p.forms)
  return z
    .union([told, z.strictObject({ cannotTell: z.string() })])
    .describe(`${p.meaning} Unit: ${p.unit}.`)
    .optional()
}

/** As many numbers as the form has. */
function formed(number: z.ZodNumber, forms: readonly ParamForm[]) {
  return z
    .strictObject({
      value: z.array(number),
      /** The model that the numbers belong to; the parameter's first when absent. */
      form: z.enum(forms.map((f) => f.name)).optional(),
      evidence,
    })
    .superRefine(({ value, form }, context) => {
      const { name, count, meaning } = forms.find((f) => f.name === form) ?? (forms[0] as ParamForm)
      if (value.length === count) return
      context.addIssue({
        code: 'custom',
        path: ['value'],
        message: `${count} ${count === 1 ? 'number' : 'numbers'} of the form ${name}: ${meaning}`,
      })
    })
}

function treatments(params: readonly Param[]) {
  return z.strictObject(Object.fromEntries(params.map((p) => [p.name, treatment(p)])))
}

const plate = z.strictObject({
  ...file,
  /** Frames of the plate that make the shot, 0-based; all when absent. */
  frames: z
    .strictObject({ first: z.number().int().nonnegative(), count: z.number().int().positive() })
    .optional(),
  /** A blur of the plate itself, near things over far ones. */
  blur: plateBlurSchema.optional(),
  treatments: treatments(plateParams).default({}),
})

const nature = z.union([
  z.enum(['emits', 'absorbs', 'reflects']),
  /** Shares of the element's colour, adding up to 1. */
  z.strictObject({
    emits: z.number().min(0).max(1).optional(),
    absorbs: z.number().min(0).max(1).optional(),
    reflects: z.number().min(0).max(1).optional(),
  }),
])

const share = z.number().min(0.002).max(2)

/** How much of a link's treatment an element gets; what is not named is done in full. */
const doneBy = z.strictObject({
  /** 1 is the treatment as it stands, 0 as if the link did nothing. */
  strength: z.number().min(0).max(1).optional(),
  /** Left out for now, whatever its strength. */
  off: z.literal(true).optional(),
})

/** No pixel of a file is drawn larger than that: a choice, far above any use. */
const MOST_SCALE = 1000
const scale = positive.max(MOST_SCALE)

const element = z.strictObject({
  id: z.string().regex(/^[a-z0-9][a-z0-9-]*$/, 'lower-case letters, digits and dashes'),
  ...file,
  evidence: z.strictObject({ ...fileEvidence, alpha: spoken }).optional(),
  alpha: z.enum(['straight', 'premultiplied', 'on-black', 'none']),
  nature,
  /** Elements of one group belong to one event. */
  group: z.string().optional(),
  /** Id of an element that this one stands in the middle of: half of that one's depth lies before it. */
  inside: z.string().optional(),
  /** Frame of the shot (0-based) on which the element's first frame shows. */
  startFrame: z.number().int().default(0),
  /** Frames of the element left out at its head. */
  trimFrames: z.number().int().nonnegative().default(0),
  /** Where the element's centre lies in the plate, in plate pixels. */
  position: z.strictObject({ x: pixels, y: pixels }),
  /** Plate pixels per element pixel; or give the real height and the distance. */
  scale: scale.optional(),
  /** Up to the highest plume of an eruption: what is taller was not meant. */
  heightM: positive.max(50_000).optional(),
  distanceM: positive.optional(),
  /** Moves: linear between keys, held outside. Offsets are added to `position`, `scale` multiplies. */
  keys: z
    .array(
      z.strictObject({
        frame: z.number().int(),
        dx: pixels.default(0),
        dy: pixels.default(0),
        scale: scale.default(1),
      }),
    )
    .optional(),
  /** Goes with a track of the plate: position, scale and keys say where it stands on the track's reference frame. */
  follow: followSchema.optional(),
  drift: driftSchema.optional(),
  time: timeSchema.optional(),
  flash: flashSchema.optional(),
  /** Where it touches the ground, from its own top left corner in its own pixels. */
  foot: place.optional(),
  /** What the element itself was filmed with. */
  filmed: z
    .strictObject({
      heightM: positive.optional(),
      /** Above 0 the camera looked up. */
      tiltDeg: z.number().min(-90).max(90).optional(),
      distanceM: positive.optional(),
      focalLengthMm: positive.optional(),
      sensorWidthMm: positive.optional(),
      /** How long its shutter was open: where that is shorter than the plate's, its own motion is blurred on. */
      shutterAngleDeg: positive.max(360).optional(),
    })
    .optional(),
  /** How deep it is from front to back in truth, for what a flat picture cannot show when the camera moves. */
  depthM: positive.optional(),
  /** Plate region of like distance and material that the element is compared with, on this frame of the shot. */
  compareWith: z
    .strictObject({
      ...region.shape,
      frame: z.number().int().nonnegative().default(0),
      distanceM: positive.optional(),
    })
    .optional(),
  /**
   * Share of light that the element's middle gives back, 0.002 to 2 (beyond 1 when lit from behind), one number or R, G, B: how light it looks beside a white card in
   * the same light. With the site's grey card it says the element's level and colour, and no place need be compared with.
   */
  reflectance: z.union([share, z.tuple([share, share, share])]).optional(),
  holdout: holdoutSchema.optional(),
  /** Emitters: luminance of the body in cd/m², metered or from a table. */
  luminanceCdM2: positive.optional(),
  /** Emitters: surfaces of the plate that answer the light. */
  lights: z
    .array(
      z.strictObject({
        polygon: z.array(z.tuple([pixels, pixels])).min(3),
        /** From the emitter to the nearest point of the surface. */
        awayM: positive,
        /** Point of the surface nearest to the emitter, plate pixels; the nearest one in the picture when absent. */
        nearest: z.tuple([pixels, pixels]).optional(),
        /** How far the surface is turned away from the picture plane about its upright axis: 0 faces the camera. */
        turnedDeg: z.number().min(0).max(89).default(0),
        /** Share of light that the surface gives back, 0 to 1. */
        reflectance: z.number().min(0.01).max(1).default(0.2),
        /** Softness of the polygon's border. */
        featherPx: z.number().nonnegative().default(8),
      }),
    )
    .optional(),
  /** Links that are weakened or off. */
  links: z
    .strictObject({
      source: doneBy.omit({ strength: true }).optional(),
      light: doneBy.optional(),
      air: doneBy.optional(),
      lens: doneBy.optional(),
      shutter: doneBy.optional(),
      sensor: doneBy.optional(),
    })
    .optional(),
  treatments: treatments(elementParams).default({}),
})

/** A tell that the artist wants so; it stays quiet until that place changes. */
const meant = z.strictObject({
  tell: z.string(),
  element: z.string().optional(),
  measured: z.number(),
  note: z.string().optional(),
})

export const shotSchema = z.strictObject({
  platefit: z.literal(SHOT_VERSION),
  plate,
  camera: cameraSchema.default({}),
  site: siteSchema.default({}),
  tracks: z.array(trackSchema).default([]),
  shapes: z.array(shapeSchema).default([]),
  elements: z.array(element).default([]),
  meant: z.array(meant).default([]),
})

/** A checked document. */
export type Shot = z.output<typeof shotSchema>
export type ShotElement = Shot['elements'][number]
/** Links whose treatment an element can get in part. */
export type WeakLink = keyof NonNullable<ShotElement['links']>
export const weakLinks = ['source', 'light', 'air', 'lens', 'shutter', 'sensor'] as const satisfies WeakLink[]
export type Treatment =
  | { value: number[]; form?: string | undefined; evidence: z.output<typeof evidence> }
  | { cannotTell: string }
