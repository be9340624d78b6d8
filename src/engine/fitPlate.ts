/** What is the plate's own and shared by all elements: the light of the place, the visibility, the lens, the grain. */
import { visibilityFromMarks } from '../chain/air/visibility/measure.js'
import { ambientOfCard } from '../chain/light/ambient/measure.js'
import type { Half } from '../chain/light/match/measure.js'
import { conversion, luminanceRow, transform3 } from '../colour/index.js'
import { type Evidence, type FloatImage, type Reading, type Rgb, samePrimaries, told } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import type { Cache } from './cache/store.js'
import { fitInCamera } from './fitInCamera.js'
import { fitAberration, fitGlare } from './fitLens.js'
import { fitLimits } from './fitLimits.js'
import { fitShutter } from './fitShutter.js'
import { plateGrain } from './grain.js'
import { type ShotSources, shotRange } from './plan.js'
import { plateSettled, vignetteOf } from './plateSettings.js'
import { asPlate } from './response.js'
import { clipLevel, flattened, linearFrame, type PlateSamples } from './samples.js'
import { openRecord } from './sources.js'
import { curveTrust, doubtedReading } from './trust.js'

export type PlateTreatments = Shot['plate']['treatments']

/** @param card what `measureCard` read */
export async function fitPlate(
  shot: Shot,
  sources: ShotSources,
  samples: PlateSamples,
  card: Reading<Rgb> | undefined,
  cache?: Cache,
): Promise<PlateTreatments> {
  const byHand = plateSettled(shot, 'light.ambient', 'set') as Rgb | undefined
  const visibility = await measureVisibility(
    shot,
    sources.plate,
    byHand ?? (card !== undefined && told(card) ? card.value : undefined),
  )
  return {
    ...(card === undefined ? {} : { 'light.ambient': treatment(card, (v) => [...v]) }),
    ...(visibility === undefined ? {} : { 'air.visibility': treatment(visibility, (v) => [v]) }),
    ...(await fitAberration(sources.plate, samples, cache)),
    ...(await fitGlare(sources.plate, samples, cache)),
    ...(await fitShutter(shot, sources, samples, cache)),
    ...(await fitLimits(sources.plate, samples, cache)),
    ...(await fitInCamera(sources.plate, samples, cache)),
    ...(await fitGrain(sources.plate, samples, cache)),
  }
}

/**
 * Light of the place off the grey card, in the plate's primaries; nothing when the shot has none.
 *
 * @param half of the card's cells: the fit looks at one, the check at the other
 * @throws Problem as `openSource` when the card's file cannot be opened
 */
export async function measureCard(
  shot: Shot,
  folder: string,
  plate: Source,
  half: Half,
  cache?: Cache,
): Promise<Reading<Rgb> | undefined> {
  const card = shot.site.greyCard
  if (card === undefined) return undefined
  const { file, x, y, width, height } = card
  const source =
    file === undefined ? plate : asPlate(await openRecord({ ...card, file }, folder, cache), plate, shot)
  try {
    const seen = await frameOf(source, card.frame)
    if (seen === undefined)
      return {
        cannotTell: `the grey card's file has no frame ${card.frame}: it has ${source.info.frameCount}`,
      }
    const region = { x, y, width, height }
    const image = flattened(seen, vignetteOf(shot))
    const read = ambientOfCard(image, card.frame, region, card.reflectance, clipLevel(source), half)
    const doubtful = doubtedReading(read, curveTrust(source))
    const [from, to] = [source.info.encoding.primaries, plate.info.encoding.primaries]
    if (!told(doubtful) || samePrimaries(from, to)) return doubtful
    return { ...doubtful, value: transform3(conversion(from, to), doubtful.value) }
  } finally {
    if (file !== undefined) await source.close()
  }
}

async function measureVisibility(
  shot: Shot,
  plate: Source,
  ambient: Rgb | undefined,
): Promise<Reading<number> | undefined> {
  const { marks } = shot.site
  // What the site says goes before: a reading that nobody uses would mislead.
  if (marks === undefined || shot.site.visibilityM !== undefined) return undefined
  const { first } = shotRange(shot, plate.info.frameCount)
  const images = new Map<number, FloatImage | undefined>()
  for (const { frame } of marks)
    if (!images.has(frame)) images.set(frame, await frameOf(plate, first + frame))
  const read = marks.flatMap(({ frame, x, y, width, height, ...mark }) => {
    const image = images.get(frame)
    return image === undefined
      ? []
      : [{ ...mark, image, frame: first + frame, region: { x, y, width, height } }]
  })
  return read.length === 0
    ? { cannotTell: 'the shot has none of the frames on which its marks are to be looked at' }
    : doubtedReading(
        visibilityFromMarks(read, ambient, luminanceRow(plate.info.encoding.primaries), clipLevel(plate)),
        curveTrust(plate),
      )
}

async function frameOf(source: Source, number: number): Promise<FloatImage | undefined> {
  if (number >= source.info.frameCount) return undefined
  for await (const native of source.frames(number, 1)) return linearFrame(native, source.info.encoding)
  return undefined
}

function treatment<T>(reading: Reading<T>, value: (of: T) => number[]): Treatment {
  return told(reading) ? ({ value: value(reading.value), evidence: reading.evidence } as Treatment) : reading
}

async function fitGrain(
  plate: Source,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<PlateTreatments> {
  const grain = doubtedReading(await plateGrain(plate, samples, cache), curveTrust(plate))
  const names = ['sensor.grainLevels', 'sensor.grainVariance', 'sensor.grainCorrelation', 'sensor.grainMix']
  if (!told(grain)) return Object.fromEntries(names.map((n) => [n, { cannotTell: grain.cannotTell }]))
  const { levels, shown } = grain.value
  const { coarse } = shown
  const { evidence } = grain
  const plain = {
    'sensor.grainLevels': levels,
    'sensor.grainVariance': shown.variance.flat(),
    'sensor.grainCorrelation': shown.lags.flat(),
    'sensor.grainMix': shown.mix,
    'sensor.grainCross': shown.cross.flat(),
  }
  const share = coarse?.share[1] ?? [0]
  const relative = coarse?.spread[1] ?? 0
  const wide = {
    'sensor.grainCoarse': [coarse?.share.flat() ?? [], 2 * relative * (share[share.length >> 1] as number)],
    'sensor.grainCoarseSize': [[coarse?.size ?? 0], coarse?.sizeSpread],
    'sensor.grainCoarseMix': [coarse?.mix ?? [0, 0, 0], coarse?.mixSpread],
  } as const
  return Object.fromEntries([
    ...Object.entries(plain).map(([n, value]) => [n, { value: [...value], evidence }] as const),
    ...Object.entries(wide).map(
      ([n, [value, spread]]) =>
        [
          n,
          shown.untold === undefined
            ? { value: [...value], evidence: coarsely(evidence, relative, spread) }
            : { cannotTell: shown.untold },
        ] as const,
    ),
  ]) as PlateTreatments
}

/** @param relative spread of the blotches' σ, a share of it @param spread of the figure */
function coarsely(evidence: Evidence, relative: number, spread: number | undefined): Evidence {
  if (evidence.kind !== 'measured') return evidence
  const { spread: _, ...rest } = evidence
  const confidence = Math.min(evidence.confidence, Math.max(0.2, 0.95 - 2 * relative))
  return { ...rest, ...(spread === undefined ? {} : { spread }), confidence }
}
