import { type GrainMeasure, measureGrain } from '../chain/sensor/grain/measure.js'
import { roundingOf } from '../chain/sensor/grain/rounding.js'
import type { Reading } from '../core/index.js'
import type { Source } from '../media/index.js'
import { cached } from './cache/cached.js'
import type { Cache } from './cache/store.js'
import { clipLevel, type PlateSamples } from './samples.js'
import { factsOf } from './sources.js'

/** Grain of a plate in the samples that were taken of it; the longest of its readings, so it is kept. */
export function plateGrain(
  plate: Source,
  { numbers, read }: PlateSamples,
  cache: Cache | undefined,
): Promise<Reading<GrainMeasure>> {
  const key = { kind: 'grain', of: [plate.content], how: { numbers, plate: factsOf(plate) } }
  return cached(cache, key, async () =>
    measureGrain(await read(), clipLevel(plate), roundingOf(plate.info.layout, plate.info.encoding)),
  )
}
