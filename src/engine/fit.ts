/** Measures a shot's plate and elements, and derives each treatment with its evidence. Hand-set values stay. */
import type { GrainSample } from '../chain/sensor/grain/measure.js'
import type { Problem } from '../core/index.js'
import { mergeFit } from '../shot/index.js'
import type { Shot } from '../shot/schema.js'
import { fitElement } from './fitElement.js'
import { fitPlate, measureCard, type PlateTreatments } from './fitPlate.js'
import { fitResponse } from './fitResponse.js'
import { type ShotSources, shotRange } from './plan.js'
import { tracker } from './progress.js'
import { withoutMeasuredResponse, withResponse } from './response.js'
import { platePairs, spread } from './samples.js'
import { closeShot, openShot } from './sources.js'
import type { Job } from './types.js'

/** Frames of the plate that the meters look at. */
const PLATE_SAMPLES = 5

/**
 * @returns a new document; the given one is not changed
 * @throws Problem as `openShot`
 */
export async function fitShot(
  shot: Shot,
  folder: string,
  job: Job = {},
): Promise<{ shot: Shot; findings: Problem[] }> {
  const opened = await openShot(withoutMeasuredResponse(shot), folder, job.cache)
  try {
    const tick = tracker(job, 'fit', shot.elements.length + 1)
    // First of all: everything else is measured through the camera's curve.
    const response = await fitResponse(shot, folder, opened.plate, job.cache)
    const own: PlateTreatments = response === undefined ? {} : { 'sensor.response': response }
    const known = mergeFit(shot, { ...shot, plate: { ...shot.plate, treatments: own } })
    const sources = { ...opened, plate: withResponse(opened.plate, known) }
    const samples = await sampleShot(shot, sources)
    tick(0)
    const card = await measureCard(shot, folder, sources.plate, 'even', job.cache)
    const treatments = { ...own, ...(await fitPlate(shot, sources, samples, card, job.cache)) }
    let fitted = mergeFit(shot, { ...shot, plate: { ...shot.plate, treatments } })
    for (const [i, e] of fitted.elements.entries()) {
      tick(1 + i)
      const treatments = await fitElement(e, { shot: fitted, sources, samples, half: 'even', card })
      fitted = mergeFit(fitted, {
        ...fitted,
        elements: fitted.elements.map((o) => (o.id === e.id ? { ...o, treatments } : o)),
      })
    }
    tick(1 + fitted.elements.length)
    const infos = [sources.plate, ...sources.elements.values()].map((s) => s.info)
    return { shot: fitted, findings: infos.flatMap((i) => [...i.findings]) }
  } finally {
    await closeShot(opened)
  }
}

/** Pairs of successive frames over the shot, counted from the plate's first frame. */
export function sampleShot(shot: Shot, sources: ShotSources, count = PLATE_SAMPLES): Promise<GrainSample[]> {
  const range = shotRange(shot, sources.plate.info.frameCount)
  const last = range.first + Math.max(range.count - 2, 0)
  return platePairs(sources.plate, spread(range.first, last, count))
}
