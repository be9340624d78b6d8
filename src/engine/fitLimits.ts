/** Where the plate's sensor ends, in linear light. */
import { type LimitSample, measureClip, measureFloor } from '../chain/sensor/limits/measure.js'
import { channelCurves } from '../colour/index.js'
import { type Reading, type Rgb, told } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import { cached } from './cache/cached.js'
import type { Cache } from './cache/store.js'
import { codeOf, FRAMES } from './fitLens.js'
import { type PlateSamples, spread } from './samples.js'
import { factsOf } from './sources.js'
import { curveTrust, doubtedReading } from './trust.js'

/** What `sensor.clip` says of a channel that ends nowhere. */
const NOWHERE = 0

export async function fitLimits(
  plate: Source,
  { numbers, read }: PlateSamples,
  cache: Cache | undefined,
): Promise<Shot['plate']['treatments']> {
  const key = { kind: 'limits', of: [plate.content], how: { numbers, plate: factsOf(plate) } }
  const { clip, floor } = await cached(cache, key, async () => {
    const all = await read()
    const picked = spread(0, all.length - 1, FRAMES).flatMap((i) => all[i] ?? [])
    const samples = picked.map((s): LimitSample => ({ frame: s.frame, code: codeOf(s.image, plate) }))
    return { clip: measureClip(samples), floor: measureFloor(samples) }
  })
  return { 'sensor.clip': inLight(clip, plate), 'sensor.floor': inLight(floor, plate) }
}

function inLight(read: Reading<Rgb>, plate: Source): Treatment {
  const found = doubtedReading(read, curveTrust(plate))
  if (!told(found)) return found
  const { encoding } = plate.info
  const curves = channelCurves(encoding.curve === 'linear' ? { ...encoding, curve: 'srgb' } : encoding)
  const value = found.value.map((v, c) => (Number.isFinite(v) ? (curves[c]?.decode(v) ?? v) : NOWHERE))
  return { ...found, value } as Treatment
}
