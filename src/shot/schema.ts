/**
 * The shot document `NAME.shot.json`: what a shot is made of and how each element is treated, with the evidence of every
 * number. Pure data; paths inside are relative to the document's folder. Unknown keys are refused.
 */
import { z } from 'zod'
import { elementParams, plateParams } from '../chain/params.js'
import { curveNames, matrixNames, type Param, primariesNames } from '../core/index.js'
import { depthSchema, holdoutSchema, shapeSchema } from './shapeSchema.js'
import { driftSchema, timeSchema } from './timeSchema.js'
import { followSchema, place, trackSchema } from './trackSchema.js'

export const SHOT_VERSION = 1

const positive = z.number().positive()
const pixels = z.number().min(-65536).max(65536)

const region = z.strictObject({
  x: z.number().int(),
  y: z.number().int(),
  width: z.number().int().positive(),
  height: z.number().int().positive(),
})

const measured = z.strictObject({
  kind: z.literal('measured'),
  frames: z.array(z.number().int().nonnegative()),
  region: region.optional(),
  method: z.string(),
  spread: z.number().nonnegative().optional(),
  confidence: z.number().min(0).max(1),
})
const derived = z.strictObject({
  kind: z.literal('derived'),
  formula: z.string(),
  inputs: z.record(z.string(), z.union([z.number(), z.string(), z.array(z.number())])),
  confidence: z.number().min(0).max(1),
})
const set = z.strictObject({ kind: z.literal('set'), note: z.string().optional() })
const assumed = z.strictObject({
  kind: z.literal('assumed'),
  why: z.string(),
  confidence: z.number().min(0).max(1),
})
const evidence = z.discriminatedUnion('kind', [measured, derived, set, assumed])

/** The value that evidence beside an override speaks for: where another one stands there, a person has changed it. */
const of = { value: z.string().optional() }
const spoken = z
  .discriminatedUnion('kind', [measured.extend(of), derived.extend(of), set.extend(of), assumed.extend(of)])
  .optional()

function treatment(p: Param) {
  const number = z.number().min(p.min).max(p.max)
  const value = p.count === 0 ? z.array(number) : z.array(number).length(p.count)
  return z
    .union([z.strictObject({ value, evidence }), z.strictObject({ cannotTell: z.string() })])
    .describe(`${p.meaning} Unit: ${p.unit}.`)
    .optional()
}

function treatments(params: readonly Param[]) {
  return z.strictObject(Object.fromEntries(params.map((p) => [p.name, treatment(p)])))
}

const curve = z.enum(curveNames)
const primaries = z.enum(primariesNames)
const matrix = z.enum(matrixNames)
/** `24`, `23.976` is refused: `24000/1001`. */
const rate = z.string().regex(/^[1-9]\d*(\/[1-9]\d*)?$/, 'a frame rate such as "24" or "24000/1001"')

/** Where overrides come from, by their names; what is not named was set by hand. */
const fileEvidence = { curve: spoken, primaries: spoken, matrix: spoken, range: spoken, rate: spoken }

/** A file and what overrides its tags. */
const file = {
  file: z.string().min(1),
  curve: curve.optional(),
  primaries: primaries.optional(),
  matrix: matrix.optional(),
  range: z.enum(['limited', 'full']).optional(),
  /** True frame rate, where the file lies or says nothing. */
  rate: rate.optional(),
  /** OpenEXR: the layer, channel or part to read, as `diagnose` names them. */
  layer: z.string().min(1).optional(),
  /** Only this one picture, though its name has a number and others stand beside it. */
  still: z.literal(true).optional(),
  evidence: z.strictObject(fileEvidence).optional(),
}

const plate = z.strictObject({
  ...file,
  /** Frames of the plate that make the shot, 0-based; all when absent. */
  frames: z
    .strictObject({ first: z.number().int().nonnegative(), count: z.number().int().positive() })
    .optional(),
  treatments: treatments(plateParams).default({}),
})

/** A picture of something that was filmed at the plate's settings: in a file of its own, or in the plate when no file is named. */
const filmed = {
  file: file.file.optional(),
  matrix: file.matrix,
  range: file.range,
  /** Counted from the file's first frame. */
  frame: z.number().int().nonnegative().default(0),
}

const point = z.tuple([z.number().min(0).max(65536), z.number().min(0).max(65536)])
const lab = z.tuple([
  z.number().min(0).max(120),
  z.number().min(-160).max(160),
  z.number().min(-160).max(160),
])

/** A 24-patch chart: the camera's own curve is read off its greys. */
const chart = z.strictObject({
  ...filmed,
  /** Centres of the four corner patches in the picture, going round; which way the chart lies is found. */
  corners: z.tuple([point, point, point, point]),
  /** The chart's own CIELAB values (D50), row by row, where they were measured; else the maker's are taken. */
  patches: z.array(lab).length(24).optional(),
})

/** One exposure of a matt card. */
const exposure = z.strictObject({
  ...filmed,
  ...region.shape,
  /** Exposure in stops, counted from any of them: +1 twice the light. */
  stops: z.number().min(-20).max(20),
})

const camera = z.strictObject({
  /** The side along the picture's width as it is shown: of a camera held upright its short side. */
  sensorWidthMm: positive.optional(),
  focalLengthMm: positive.optional(),
  fNumber: positive.optional(),
  focusM: positive.optional(),
  shutterAngleDeg: positive.max(360).optional(),
  iso: positive.optional(),
  /** Height of the lens above the ground that the element stands on. */
  heightM: positive.optional(),
  chart: chart.optional(),
  /** The same card in the same light under five exposures or more: the camera's own curve is read off them. */
  bracket: z.array(exposure).optional(),
})

/** Something in the plate whose real size is known: a line from one end to the other, facing the camera; its lower end stands on the ground. */
const known = z.strictObject({
  from: place,
  to: place,
  frame: z.number().int().nonnegative().default(0),
  lengthM: positive,
})

const site = z.strictObject({
  airTemperatureC: z.number().min(-60).max(60).optional(),
  /** Distance at which a black object keeps 2 % contrast (Koschmieder). Said here it goes before what the marks tell. */
  visibilityM: positive.optional(),
  /** Dark things before open air at distances off a map: the visibility is read off their contrast. */
  marks: z
    .array(
      z.strictObject({
        ...region.shape,
        frame: z.number().int().nonnegative().default(0),
        distanceM: positive,
        /** Distance of the shore or hill behind the mark; open air when absent. */
        behindM: positive.optional(),
        /** Share of light that the mark gives back, 0 to 1. */
        reflectance: z.number().min(0).max(1).default(0.1),
      }),
    )
    .min(1)
    .optional(),
  /** Two points of the horizon (where the sea or a wide plain would end), plate pixels. */
  horizon: z
    .strictObject({ points: z.tuple([place, place]), frame: z.number().int().nonnegative().default(0) })
    .optional(),
  known: z.array(known).min(1).optional(),
  depth: depthSchema.optional(),
  /** A matt grey card facing the camera in the light of the shot: in a file of its own at the same exposure, or in the plate. */
  greyCard: z
    .strictObject({
      ...file,
      file: file.file.optional(),
      ...region.shape,
      /** Counted from the file's first frame. */
      frame: z.number().int().nonnegative().default(0),
      reflectance: z.number().min(0.01).max(1).default(0.18),
    })
    .optional(),
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
  scale: positive.optional(),
  heightM: positive.optional(),
  distanceM: positive.optional(),
  /** Moves: linear between keys, held outside. Offsets are added to `position`, `scale` multiplies. */
  keys: z
    .array(
      z.strictObject({
        frame: z.number().int(),
        dx: pixels.default(0),
        dy: pixels.default(0),
        scale: positive.default(1),
      }),
    )
    .optional(),
  /** Goes with a track of the plate: position, scale and keys say where it stands on the track's reference frame. */
  follow: followSchema.optional(),
  drift: driftSchema.optional(),
  time: timeSchema.optional(),
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
  camera: camera.default({}),
  site: site.default({}),
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
export const weakLinks = ['source', 'light', 'air', 'lens', 'sensor'] as const satisfies WeakLink[]
export type Treatment = { value: number[]; evidence: z.output<typeof evidence> } | { cannotTell: string }
