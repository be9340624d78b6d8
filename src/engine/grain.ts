import { type GrainMeasure, type GrainSample, measureGrain } from '../chain/sensor/grain/measure.js'
import type { Reading } from '../core/index.js'
import type { Source } from '../media/index.js'
import { cached } from './cache/cached.js'
import type { Cache } from './cache/store.js'
import { clipLevel } from './samples.js'

/** Grain of a plate in the samples that were taken of it; the longest of its readings, so it is kept. */
export function plateGrain(
  plate: Source,
  samples: readonly GrainSample[],
  cache: Cache | undefined,
): Promise<Reading<GrainMeasure>> {
  const { info, content } = plate
  const { encoding, rate, layout, width, height, exr } = info
  const frames = samples.map((s) => s.frame)
  const how = { frames, encoding, rate, layout, width, height, layer: exr?.layer }
  return cached(cache, { kind: 'grain', of: [content], how }, () => measureGrain(samples, clipLevel(plate)))
}
