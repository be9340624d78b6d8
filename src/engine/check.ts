/** Reads the finished file back and lists what gives the effect away. */
import { resolve } from 'node:path'
import { compareHaze } from '../chain/air/haze/compare.js'
import { applyHaze } from '../chain/air/haze/model.js'
import type { Comparison, Verdict } from '../chain/compare.js'
import { comparePlate, lookAtPlate, type PlateLook } from '../chain/display/compare.js'
import { compareEdges, type EdgeLook, lookAtEdges } from '../chain/lens/defocus/compare.js'
import { type CastLook, compareCast, lookAtCast } from '../chain/light/cast/compare.js'
import { compareMatch, lookAtMatch, type MatchLook } from '../chain/light/match/compare.js'
import type { Points } from '../chain/light/match/model.js'
import { type BorderLook, compareBorder, lookAtBorder } from '../chain/place/raster/compare.js'
import { compareGrain, type GrainLook, lookAtGrain } from '../chain/sensor/grain/compare.js'
import { varianceAt } from '../chain/sensor/grain/model.js'
import { compareHalo, type HaloLook, lookAtHalo } from '../chain/source/alpha/compare.js'
import { curveOf } from '../colour/index.js'
import { type ColourEncoding, Problem, type Rgb } from '../core/index.js'
import { openSource, type Source } from '../media/index.js'
import { natureShares } from '../shot/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import type { FitContext } from './context.js'
import { sampleShot } from './fit.js'
import { fitAir } from './fitAir.js'
import { comparedPoints } from './fitElement.js'
import { ledgerRows } from './ledger.js'
import { makePlan, type Plan, type ShotSources, shotRange } from './plan.js'
import { tracker } from './progress.js'
import { clipLevel, spread } from './samples.js'
import { type Look, looks } from './seen.js'
import { elementSettings, grainOf, settled } from './settings.js'
import { closeShot, openShot } from './sources.js'
import type { CheckResult, Job, Tell, Undecided } from './types.js'

/** Frames of the finished file that are looked at. */
const LOOKS = 6

interface ElementLooks {
  readonly match: MatchLook[]
  readonly halo: (HaloLook | undefined)[]
  readonly border: BorderLook[]
  readonly edges: EdgeLook[]
  readonly grain: GrainLook[]
  readonly cast: (CastLook | undefined)[]
}

/**
 * @param rendered the finished file or sequence; it must hold every frame of the shot
 * @throws Problem `engine.check-length` when it does not; otherwise as `openSource`
 */
export async function checkShot(
  shot: Shot,
  folder: string,
  rendered: string,
  job: Job = {},
): Promise<CheckResult> {
  const sources = await openShot(shot, folder)
  let result: Source | undefined
  try {
    result = await openRendered(rendered, sources)
    const { count } = shotRange(shot, sources.plate.info.frameCount)
    if (result.info.frameCount !== count) throw wrongLength(rendered, count, result.info.frameCount)
    const numbers = lookFrames(shot, count)
    const tick = tracker(job, 'check', numbers.length + 1)
    tick(0)
    const plan = makePlan(shot, sources, { format: 'exr-half' })
    const plate: PlateLook[] = []
    const byElement = new Map<string, ElementLooks>()
    let done = 0
    for await (const look of looks(shot, sources, result, numbers)) {
      plate.push(lookAtPlate(look.seen))
      lookAtElements(look, plan, sources, byElement)
      tick(++done)
    }
    const context: FitContext = { shot, sources, samples: await sampleShot(shot, sources, 3) }
    const comparisons: { element?: ShotElement; comparison: Comparison }[] = [
      { comparison: comparePlate(plate) },
    ]
    for (const e of shot.elements) {
      const seen = byElement.get(e.id)
      if (seen === undefined) continue
      for (const comparison of compareElement(e, seen, context)) comparisons.push({ element: e, comparison })
    }
    tick(numbers.length + 1)
    return summarise(shot, resolve(rendered), numbers, comparisons, plan)
  } finally {
    await result?.close()
    await closeShot(sources)
  }
}

/** Opened as what was delivered: linear where it is float, else in the plate's own code values. */
async function openRendered(path: string, sources: ShotSources): Promise<Source> {
  const { encoding } = sources.plate.info
  const probe = await openSource(path)
  const { layout, width, height } = probe.info
  await probe.close()
  if (width !== sources.plate.info.width || height !== sources.plate.info.height) {
    throw new Problem({
      code: 'engine.check-size',
      what: 'The file has another size than the plate',
      where: path,
      expected: `${sources.plate.info.width}×${sources.plate.info.height}`,
      received: `${width}×${height}`,
      remedy: 'Check the file that was rendered from this document.',
    })
  }
  const own: Partial<ColourEncoding> = { primaries: encoding.primaries }
  if (!layout.float && encoding.curve !== 'linear')
    return openSource(path, { encoding: { ...own, curve: encoding.curve } })
  return openSource(path, { encoding: layout.float ? { ...own, curve: 'linear' } : own })
}

function wrongLength(path: string, expected: number, received: number): Problem {
  return new Problem({
    code: 'engine.check-length',
    what: 'The file does not hold the frames of the shot',
    where: path,
    expected: `${expected} frames`,
    received: `${received}`,
    remedy: 'Render the whole shot and check that file.',
  })
}

/** Frames spread over the time in which any element shows. */
function lookFrames(shot: Shot, count: number): number[] {
  const starts = shot.elements.map((e) => Math.max(e.startFrame, 0))
  const first = Math.min(...starts, count - 1)
  return spread(Math.min(first + 1, count - 1), Math.max(count - 2, 0), LOOKS).sort((a, b) => a - b)
}

function lookAtElements(look: Look, plan: Plan, sources: ShotSources, all: Map<string, ElementLooks>): void {
  const clip = clipLevel(sources.plate)
  for (const e of look.elements) {
    const own = all.get(e.id) ?? { match: [], halo: [], border: [], edges: [], grain: [], cast: [] }
    all.set(e.id, own)
    const element = plan.shot.elements.find((x) => x.id === e.id) as ShotElement
    const picture = plan.elements[e.id]
    if (picture === undefined) continue
    const s = elementSettings(element, picture, plan)
    if (s.emits < 1) {
      own.match.push(lookAtMatch(look.seen, e, 0.4))
      own.halo.push(lookAtHalo(look.seen, e))
      own.edges.push(lookAtEdges(look.seen, e, codeSigma(plan)))
      own.grain.push(lookAtGrain(look.seen, e, clip))
    }
    own.border.push(lookAtBorder(look.seen, e))
    for (const surface of s.surfaces) {
      if (e.emission === undefined || s.metresPerPixel === undefined) continue
      own.cast.push(lookAtCast(look.seen, surface, e.emission, s.metresPerPixel))
    }
  }
}

/** Grain of the plate at 18 % in code values, as far as it is known. */
function codeSigma(plan: Plan): number {
  const grain = grainOf(plan.shot)
  if (grain === undefined) return 0.005
  const { encode } = curveOf(plan.plate.encoding.curve)
  const sigma = Math.sqrt(varianceAt(grain, 1, 0.18))
  return Math.abs(encode(0.18 + sigma) - encode(0.18))
}

function compareElement(e: ShotElement, seen: ElementLooks, c: FitContext): Comparison[] {
  const out: Comparison[] = []
  const name = e.id
  if (natureShares(e.nature).emits < 1) {
    const match = compareMatch(name, seen.match, expectedPoints(e, c))
    out.push(
      match,
      compareHalo(name, seen.halo),
      compareEdges(name, seen.edges),
      compareGrain(name, seen.grain),
    )
    out.push(
      compareHaze({
        name,
        frames: seen.match.map((l) => l.frame),
        region: seen.match[0]?.region ?? { x: 0, y: 0, width: 0, height: 0 },
        black: match.measured.black,
        transmittance: settled(e, 'air.transmittance') as Rgb | undefined,
        airlight: settled(e, 'air.airlight') as Rgb | undefined,
        distanceM: e.distanceM,
      }),
    )
  }
  out.push(compareBorder(name, seen.border))
  if (seen.cast.length > 0) out.push(compareCast(name, seen.cast))
  return out
}

/** Points of the compared place (the half of it that the fit did not use) seen through the element's own air. */
function expectedPoints(e: ShotElement, c: FitContext): Points | undefined {
  const place = comparedPoints(e, c, 'odd')
  const air = fitAir(e, c)
  const t = settled(e, 'air.transmittance') as Rgb | undefined
  if (place === undefined || t === undefined) return place
  const move = (v: Rgb): Rgb => {
    const clear = [0, 1, 2].map((i) => {
      const k = air.placeTransmittance[i] as number
      return Math.max(((v[i] as number) - (air.airlightColour[i] as number) * (1 - k)) / k, 0)
    })
    const image = { region: { x: 0, y: 0, width: 1, height: 1 }, data: Float32Array.from([...clear, 1]) }
    applyHaze(image, t, air.airlightColour)
    return [image.data[0] as number, image.data[1] as number, image.data[2] as number]
  }
  return { black: move(place.black), middle: move(place.middle), white: move(place.white) }
}

function summarise(
  shot: Shot,
  rendered: string,
  frames: readonly number[],
  comparisons: readonly { element?: ShotElement; comparison: Comparison }[],
  plan: Plan,
): CheckResult {
  const tells = comparisons.flatMap(({ element, comparison }) =>
    comparison.verdicts.map((v) => tell(v, element, shot, plan)),
  )
  tells.sort((a, b) => Number(a.meant) - Number(b.meant) || b.weight - a.weight)
  const undecided: Undecided[] = comparisons.flatMap(({ element, comparison }) =>
    comparison.undecided.map((u) => ({ ...u, ...(element === undefined ? {} : { element: element.id }) })),
  )
  return {
    rendered,
    framesLookedAt: frames,
    tells,
    undecided,
    ledger: ledgerRows(shot, comparisons, tells, undecided),
  }
}

/** Weight: share of the frame × share of the shot × how far beyond the limit. */
function tell(v: Verdict, element: ShotElement | undefined, shot: Shot, plan: Plan): Tell {
  const first = Math.min(...v.frames)
  const last = Math.max(...v.frames)
  const { contrast, ...rest } = v
  const area = (v.region.width * v.region.height) / (plan.plate.width * plan.plate.height)
  const duration = (last - first + 1) / shotRange(shot, plan.plate.frameCount).count
  const meant = shot.meant.some(
    (m) =>
      m.tell === v.tell &&
      m.element === element?.id &&
      Math.abs(m.measured - v.measured) <= 0.1 * Math.abs(m.measured) + 1e-4,
  )
  return {
    ...rest,
    frames: [first, last],
    ...(element === undefined ? {} : { element: element.id }),
    weight: Math.max(area, 1e-4) * duration * contrast,
    meant,
  }
}
