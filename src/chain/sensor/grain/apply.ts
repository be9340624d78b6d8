import type { FloatImage, Region } from '../../../core/index.js'
import {
  curveTable,
  filledFloats,
  type GrainRows,
  grainRows,
  topUp as topUpBy,
  type VarianceTables,
  varianceOf,
} from '../../../kernels/index.js'
import { type GrainModel, varianceAt } from './model.js'

/** One field for every shot: the same on every run, new in every frame. */
const SEED = 0x9717

const made = new WeakMap<GrainModel, VarianceTables>()

/** Variance of the plate's own grain at each pixel of a linear picture: four values a pixel, R, G, B and one unused. */
export function plateVariance(model: GrainModel | undefined, plate: FloatImage): Float32Array {
  return model === undefined ? filledFloats(plate.data.length, 0) : varianceOf(plate, tablesOf(model))
}

/** The grain of one frame of the shot over a region of it; it lies in the caller's scratch. */
export function grainOf({ taps, mix }: GrainModel, frame: number, region: Region): GrainRows {
  return grainRows({ seed: SEED, frame, taps, mix }, region)
}

/**
 * In place: adds what is missing between `variance` (what is left of all grain, as above) and the level's norm. Pixels that
 * nothing touched are left alone. The picture's upper row is row `top` of the region that `grain` was made for.
 */
export function topUp(
  image: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  model: GrainModel,
  grain: GrainRows,
  top: number,
): void {
  topUpBy(image, variance, touched, tablesOf(model), grain, top)
}

function tablesOf(model: GrainModel): VarianceTables {
  const known = made.get(model)
  if (known !== undefined) return known
  const table = (c: number) => curveTable((level) => varianceAt(model, c, level))
  const tables = [table(0), table(1), table(2)] as const
  made.set(model, tables)
  return tables
}
