/** Measures a shot's plate and elements, and derives each treatment with its evidence. Hand-set values stay. */
import type { Problem } from '../core/index.js'
import { byHand, mergeFit } from '../shot/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cached } from './cache/cached.js'
import { conformFindings } from './conform.js'
import type { FitContext } from './context.js'
import { fitElement } from './fitElement.js'
import { fitVignette } from './fitLens.js'
import { fitPlate, measureCard, type PlateTreatments } from './fitPlate.js'
import { fitResponse } from './fitResponse.js'
import { makePlan, type ShotSources, shotRange } from './plan.js'
import { vignetteOf } from './plateSettings.js'
import { tracker } from './progress.js'
import { withoutMeasuredResponse, withResponse } from './response.js'
import { flatSamples, type PlateSamples, plateSamples, spread } from './samples.js'
import { closeShot, factsOf, openShot } from './sources.js'
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
    const curve: PlateTreatments = response === undefined ? {} : { 'sensor.response': response }
    const curved = mergeFit(shot, { ...shot, plate: { ...shot.plate, treatments: curve } })
    const sources = { ...opened, plate: withResponse(opened.plate, curved) }
    // What is measured of the scene's light is measured before the lens has dimmed it.
    const own = { ...curve, 'lens.vignette': await fitVignette(curved, folder, sources.plate, job.cache) }
    const known = mergeFit(shot, { ...shot, plate: { ...shot.plate, treatments: own } })
    const samples = sampleShot(shot, sources)
    tick(0)
    const card = await measureCard(known, folder, sources.plate, 'even', job.cache)
    const treatments = { ...own, ...(await fitPlate(shot, sources, samples, card, job.cache)) }
    let fitted = mergeFit(shot, { ...shot, plate: { ...shot.plate, treatments } })
    for (const [i, e] of fitted.elements.entries()) {
      tick(1 + i)
      const treatments = await fitOne(e, { shot: fitted, sources, half: 'even', card }, samples, job)
      fitted = mergeFit(fitted, {
        ...fitted,
        elements: fitted.elements.map((o) => (o.id === e.id ? { ...o, treatments } : o)),
      })
    }
    tick(1 + fitted.elements.length)
    const infos = [sources.plate, ...sources.elements.values()].map((s) => s.info)
    const plan = makePlan(fitted, sources, { format: 'exr-half' })
    const numbers = [...Array(shotRange(shot, sources.plate.info.frameCount).count).keys()]
    const conformed = conformFindings(plan, numbers)
    return { shot: fitted, findings: [...infos.flatMap((i) => [...i.findings]), ...conformed] }
  } finally {
    await closeShot(opened)
  }
}

/**
 * Treatments of one element. They depend on the element as a person set it, on the plate and on the camera: not on the other
 * elements, and not on an earlier fit.
 */
function fitOne(
  element: ShotElement,
  known: Omit<FitContext, 'samples'>,
  samples: PlateSamples,
  { cache }: Job,
): Promise<ShotElement['treatments']> {
  const e = { ...element, treatments: byHand(element.treatments) as ShotElement['treatments'] }
  const { half, card, sources } = known
  const shot = { ...known.shot, elements: [e], meant: [] }
  const files = [sources.plate, sources.elements.get(e.id)].filter((s) => s !== undefined)
  const key = {
    kind: 'element',
    of: files.map((s) => s.content),
    how: { shot, half, card, samples: samples.numbers, files: files.map(factsOf) },
  }
  return cached(cache, key, async () =>
    fitElement(e, { ...known, shot, samples: flatSamples(await samples.read(), vignetteOf(shot)) }),
  )
}

/** Pairs of successive frames over the shot, counted from the plate's first frame. */
export function sampleShot(shot: Shot, sources: ShotSources, count = PLATE_SAMPLES): PlateSamples {
  const range = shotRange(shot, sources.plate.info.frameCount)
  const last = range.first + Math.max(range.count - 2, 0)
  return plateSamples(sources.plate, spread(range.first, last, count))
}
