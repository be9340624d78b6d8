import type { FloatImage } from '../../../core/index.js'
import { grainField } from '../../../kernels/index.js'
import { type GrainModel, varianceAt } from './model.js'

/** One field for every shot: the same on every run, new in every frame. */
const SEED = 0x9717

/** Variance of the plate's own grain at each pixel of a linear picture: RGB per pixel. */
export function plateVariance(model: GrainModel | undefined, plate: FloatImage): Float32Array {
  const pixels = plate.region.width * plate.region.height
  const v = new Float32Array(3 * pixels)
  if (model === undefined) return v
  for (let i = 0; i < pixels; i++) {
    for (let c = 0; c < 3; c++) v[3 * i + c] = varianceAt(model, c, plate.data[4 * i + c] as number)
  }
  return v
}

/**
 * In place: adds what is missing between `variance` (what is left of all grain, RGB per pixel) and the level's norm.
 * Pixels that nothing touched are left alone.
 */
export function topUp(
  image: FloatImage,
  variance: Float32Array,
  touched: Uint8Array,
  model: GrainModel,
  frame: number,
): void {
  const field = grainField(SEED, frame, image.region, model.taps, model.mix)
  const d = image.data
  for (let i = 0; i < touched.length; i++) {
    if (touched[i] === 0) continue
    for (let c = 0; c < 3; c++) {
      const level = d[4 * i + c] as number
      const missing = varianceAt(model, c, level) - (variance[3 * i + c] as number)
      if (missing > 0) d[4 * i + c] = level + Math.sqrt(missing) * (field[4 * i + c] as number)
    }
  }
}
