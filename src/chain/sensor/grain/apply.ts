import type { FloatImage } from '../../../core/index.js'
import {
  curveTable,
  newFloats,
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
  return model === undefined ? newFloats(plate.data.length).fill(0) : varianceOf(plate, tablesOf(model))
}

/**
 * In place: adds what is missing between `variance` (what is left of all grain, as above) and the level's norm. Pixels that
 * nothing touched are left alone.
 */
export function topUp(
  image: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  model: GrainModel,
  frame: number,
): void {
  const { taps, mix } = model
  topUpBy(image, variance, touched, tablesOf(model), { seed: SEED, frame, taps, mix })
}

function tablesOf(model: GrainModel): VarianceTables {
  const known = made.get(model)
  if (known !== undefined) return known
  const table = (c: number) => curveTable((level) => varianceAt(model, c, level))
  const tables = [table(0), table(1), table(2)] as const
  made.set(model, tables)
  return tables
}
