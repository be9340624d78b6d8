/** The camera and the place of a shot: what a person writes down on the day. */
import { z } from 'zod'
import { file, positive, region } from './fileSchema.js'
import { depthSchema } from './shapeSchema.js'
import { place } from './trackSchema.js'

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

/** An evenly lit, featureless surface that fills the picture, at the plate's lens, aperture and zoom: up to eight frames from the first one on. */
const flat = z.strictObject({ ...filmed, file: file.file })

export const cameraSchema = z.strictObject({
  /** The side along the picture's width as it is shown: of a camera held upright its short side. */
  sensorWidthMm: positive.optional(),
  focalLengthMm: positive.optional(),
  fNumber: positive.optional(),
  focusM: positive.optional(),
  shutterAngleDeg: positive.max(360).optional(),
  /** Time from reading the first row to reading the last, where rows are read one after the other. */
  readoutMs: positive.max(200).optional(),
  iso: positive.optional(),
  /** Height of the lens above the ground that the element stands on. */
  heightM: positive.optional(),
  chart: chart.optional(),
  /** The lens's vignette is read off it. */
  flat: flat.optional(),
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

export const siteSchema = z.strictObject({
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
