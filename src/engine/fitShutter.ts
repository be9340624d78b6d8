/** How long the plate's shutter is open, where anything asks for it: as the camera says, as streaks show, or assumed. */
import { ASSUMED_ANGLE } from '../chain/shutter/angle/model.js'
import { told } from '../core/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import type { Cache } from './cache/store.js'
import { asksForShutter } from './exposure.js'
import type { ShotSources } from './plan.js'
import type { PlateSamples } from './samples.js'
import { plateAngle } from './shutter/measure.js'

/** Most cameras that are set with care stand there; phones and cameras by daylight are far shorter. */
const ASSUMED_TRUST = 0.3

/** @returns nothing where nothing in the shot depends on it */
export async function fitShutter(
  shot: Shot,
  sources: Pick<ShotSources, 'plate' | 'tracks'>,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<Shot['plate']['treatments']> {
  return asksForShutter(shot) ? { 'shutter.angle': await angle(shot, sources, samples, cache) } : {}
}

async function angle(
  shot: Shot,
  sources: Pick<ShotSources, 'plate' | 'tracks'>,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<Treatment> {
  const { shutterAngleDeg } = shot.camera
  if (shutterAngleDeg !== undefined) {
    const inputs = { shutterAngleDeg }
    const evidence = { kind: 'derived' as const, formula: 'as the camera was set', inputs, confidence: 1 }
    return { value: [shutterAngleDeg], evidence }
  }
  const found = await plateAngle(shot, sources, samples, cache)
  if (told(found)) return { ...found, value: [found.value] } as Treatment
  const why = `camera.shutterAngleDeg is not said and the plate does not tell it (${found.cannotTell}); half of the time between two frames is common`
  return { value: [ASSUMED_ANGLE], evidence: { kind: 'assumed', why, confidence: ASSUMED_TRUST } }
}
