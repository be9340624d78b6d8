import { type FloatImage, intersect, type Region } from '../../../core/index.js'
import {
  coarseRows,
  curveTable,
  filledFloats,
  type Grains,
  grainRows,
  type ThreeEnds,
  topUp as topUpBy,
  type VarianceTables,
  varianceOf,
} from '../../../kernels/index.js'
import { type GrainModel, tableAt } from './model.js'

/** One field for every shot: the same on every run, new in every frame. */
const SEED = 0x9717

/** Variance of the plate's own grain at each pixel of a linear picture: four values a pixel, R, G, B and one unused. */
export function plateVariance(model: GrainModel | undefined, plate: FloatImage): Float32Array {
  return model === undefined ? filledFloats(plate.data.length, 0) : varianceOf(plate, tablesOf(model))
}

/** The grain of one frame of the shot over a region of it; it lies in the caller's scratch. */
export function grainOf(model: GrainModel, frame: number, region: Region): Grains {
  const { taps, mixing, coarse, levels } = model
  const field = { seed: SEED, frame, taps, mixing }
  return {
    fine: grainRows(field, region),
    coarse: coarse && {
      rows: coarseRows(field, coarse, region),
      share: threeTables(levels, coarse.share, coarse.ends),
    },
  }
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
  grain: Grains,
  top: number,
): void {
  topUpBy(image, variance, touched, tablesOf(model), grain, top)
}

/**
 * In the books: where a layer lies, all but a share of what is missing of the level's norm counts as there, so that it is not
 * topped up. `light` and `variance` are those of one region with the layer laid over.
 */
export function leaveOut(
  light: FloatImage,
  variance: Float32Array,
  layer: FloatImage,
  model: GrainModel,
  share: number,
): void {
  const here = intersect(light.region, layer.region)
  const norm = varianceOf(light, tablesOf(model))
  const rest = 1 - share
  for (let y = here.y; y < here.y + here.height; y++) {
    let i = 4 * ((y - light.region.y) * light.region.width + here.x - light.region.x)
    let k = 4 * ((y - layer.region.y) * layer.region.width + here.x - layer.region.x)
    for (let x = 0; x < here.width; x++, i += 4, k += 4) {
      const { data } = layer
      if (data[k] === 0 && data[k + 1] === 0 && data[k + 2] === 0 && data[k + 3] === 0) continue
      for (let c = i; c < i + 3; c++) {
        const missing = (norm[c] as number) - (variance[c] as number)
        if (missing > 0) variance[c] = (variance[c] as number) + rest * missing
      }
    }
  }
}

function tablesOf({ levels, variance, norm }: GrainModel): VarianceTables {
  return threeTables(levels, variance, norm)
}

function threeTables(
  levels: readonly number[],
  lists: readonly (readonly number[])[],
  ends: ThreeEnds,
): VarianceTables {
  const table = (c: 0 | 1 | 2) =>
    curveTable((level) => tableAt(levels, lists[c] as readonly number[], level), ends[c])
  return [table(0), table(1), table(2)]
}
