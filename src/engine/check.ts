/** Reads the finished file back and lists what gives the effect away. */
import { resolve } from 'node:path'
import type { Comparison, Verdict } from '../chain/compare.js'
import { comparePlate, lookAtPlate, type PlateLook } from '../chain/display/compare.js'
import { type EncodingTags, Problem } from '../core/index.js'
import { type Content, openSource, type Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { cached, type Key } from './cache/cached.js'
import { contentOf } from './cache/content.js'
import { compareElement, type ElementLooks, lookAtElements } from './checkElement.js'
import { checkStreaks } from './checkStreaks.js'
import { conformComparison } from './conform.js'
import type { FitContext } from './context.js'
import { sampleShot } from './fit.js'
import { measureCard } from './fitPlate.js'
import { plateGrain } from './grain.js'
import { ledgerRows } from './ledger.js'
import { lensNorms } from './lensNorms.js'
import { allSources, makePlan, type Plan, type ShotSources, shotRange } from './plan.js'
import { vignetteOf } from './plateSettings.js'
import { tracker } from './progress.js'
import { withResponse } from './response.js'
import { flatSamples, spread } from './samples.js'
import { looks } from './seen.js'
import { closeShot, factsOf, openShot } from './sources.js'
import { curveTrust } from './trust.js'
import type { CheckResult, Job, Tell, Undecided } from './types.js'
import { depthWatch } from './watch/depth.js'
import { watchShot } from './watch/watch.js'

/** Frames of the finished file that are looked at. */
const LOOKS = 6

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
  const { cache } = job
  const content = cache && (await contentOf(rendered, false, cache))
  const sources = await openShot(shot, folder, cache)
  let result: Source | undefined
  try {
    result = await openRendered(rendered, sources, shot)
    const { count } = shotRange(shot, sources.plate.info.frameCount)
    if (result.info.frameCount !== count) throw wrongLength(rendered, count, result.info.frameCount)
    const numbers = lookFrames(shot, count)
    const tick = tracker(job, 'check', numbers.length + 1)
    tick(0)
    const plan = makePlan(shot, sources, { format: 'exr-half' })
    const checked = { shot, folder, sources, rendered: result, numbers }
    const comparisons = await cached(cache, await keyOfCheck(checked, content, job), () =>
      compareAll(checked, plan, job, tick),
    )
    tick(numbers.length + 1)
    return summarise(shot, resolve(rendered), numbers, comparisons, plan, curveTrust(sources.plate))
  } finally {
    await result?.close()
    await closeShot(sources)
  }
}

interface Checked {
  readonly shot: Shot
  readonly folder: string
  readonly sources: ShotSources
  readonly rendered: Source
  /** Frames of the shot that are looked at. */
  readonly numbers: readonly number[]
}

interface Compared {
  /** Id of an element; none for the plate's. */
  readonly element?: string
  readonly comparison: Comparison
}

/** What the links say of the plate and of each element. */
async function compareAll(
  checked: Checked,
  plan: Plan,
  { cache, signal }: Job,
  tick: (done: number) => void,
): Promise<Compared[]> {
  const { shot, folder, sources, rendered, numbers } = checked
  const plate: PlateLook[] = []
  const byElement = new Map<string, ElementLooks>()
  const samples = sampleShot(shot, sources, 3)
  const context: FitContext = {
    shot,
    sources,
    samples: flatSamples(await samples.read(), vignetteOf(shot)),
    half: 'odd',
    card: await measureCard(shot, folder, sources.plate, 'odd', cache),
  }
  const grain = await plateGrain(sources.plate, samples, cache)
  const norms = await lensNorms(shot, folder, sources, samples, cache)
  const depth = await depthWatch(shot, folder, plan)
  let done = 0
  for await (const look of looks(shot, sources, rendered, numbers)) {
    plate.push(lookAtPlate(look.seen))
    lookAtElements(look, plan, context, grain, norms, byElement)
    await depth?.look(look.seen.frame, look.elements)
    tick(++done)
  }
  const all: Compared[] = [{ comparison: comparePlate(plate) }]
  for (const e of shot.elements) {
    const conformed = conformComparison(e, plan)
    if (conformed !== undefined) all.push({ element: e.id, comparison: conformed })
    const seen = byElement.get(e.id)
    if (seen === undefined) continue
    for (const comparison of await compareElement(e, seen, context, grain, norms))
      all.push({ element: e.id, comparison })
  }
  const streaks = await checkStreaks(checked, plan, samples, cache)
  return [
    ...all,
    ...streaks,
    ...((await depth?.compared()) ?? []),
    ...(await watchShot(checked, plan, signal)),
  ]
}

/** Whatever a person marked as meant is the summary's business. */
async function keyOfCheck(
  { shot, folder, sources, rendered, numbers }: Checked,
  content: Content | undefined,
  { cache }: Job,
): Promise<Key> {
  const { meant: _, ...of } = shot
  const { greyCard: card, depth: map } = shot.site
  const { flat } = shot.camera
  const own = allSources(sources)
  return {
    kind: 'check',
    of: [
      content,
      ...own.map((s) => s.content),
      ...(card?.file === undefined || cache === undefined
        ? []
        : [await contentOf(resolve(folder, card.file), card.still === true, cache)]),
      ...(flat === undefined || cache === undefined
        ? []
        : [await contentOf(resolve(folder, flat.file), false, cache)]),
      ...(map === undefined || cache === undefined
        ? []
        : [await contentOf(resolve(folder, map.file), map.still === true, cache)]),
    ],
    how: { shot: of, tracks: sources.tracks, numbers, files: [rendered, ...own].map(factsOf) },
  }
}

/** Opened as what was delivered: linear where it is float, else in the plate's own code values. */
async function openRendered(path: string, sources: ShotSources, shot: Shot): Promise<Source> {
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
  const own: Partial<EncodingTags> = { primaries: encoding.primaries }
  if (!layout.float && encoding.curve !== 'linear')
    return withResponse(await openSource(path, { encoding: { ...own, curve: encoding.curve } }), shot)
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

/** Frames spread over the time in which any element shows; over all of the shot where none does. */
function lookFrames(shot: Shot, count: number): number[] {
  const starts = shot.elements.map((e) => Math.max(e.startFrame, 0)).filter((f) => f < count)
  const first = starts.length === 0 ? 0 : Math.min(...starts)
  return spread(Math.min(first + 1, count - 1), Math.max(count - 2, 0), LOOKS).sort((a, b) => a - b)
}

function summarise(
  shot: Shot,
  rendered: string,
  frames: readonly number[],
  compared: readonly Compared[],
  plan: Plan,
  trust: number,
): CheckResult {
  const comparisons = compared.map(({ element, comparison }) => {
    const e = shot.elements.find((x) => x.id === element)
    return { ...(e === undefined ? {} : { element: e }), comparison }
  })
  const tells = comparisons.flatMap(({ element, comparison }) =>
    comparison.verdicts.map((v) => tell(v, element, shot, plan, trust)),
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

/** Links whose tells are told in amounts of light, and so rest on the plate's curve. */
const IN_LIGHT: ReadonlySet<string> = new Set(['light', 'air'])

/** Weight: share of the frame × share of the shot × how far beyond the limit. */
function tell(v: Verdict, element: ShotElement | undefined, shot: Shot, plan: Plan, trust: number): Tell {
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
    confidence: IN_LIGHT.has(v.link) ? rest.confidence * trust : rest.confidence,
    frames: [first, last],
    ...(element === undefined ? {} : { element: element.id }),
    weight: Math.max(area, 1e-4) * duration * contrast,
    meant,
  }
}
