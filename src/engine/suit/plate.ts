/** The plate as far as an element's fitness depends on it: its rate, its grain, its light where the element stands. */
import { plateCells, pointsOf } from '../../chain/light/match/measure.js'
import type { Points } from '../../chain/light/match/model.js'
import type { GrainMeasure, GrainSample } from '../../chain/sensor/grain/measure.js'
import { varianceAt } from '../../chain/sensor/grain/model.js'
import { type FloatImage, intersect, median, type Reading, type Region, told } from '../../core/index.js'
import type { Rate, SourceInfo } from '../../media/index.js'
import { openCached } from '../cache/frames.js'
import { plateGrain } from '../grain.js'
import { platePairs, spread } from '../samples.js'
import type { Job } from '../types.js'
import { percent } from '../words.js'
import type { KnownFacts } from './types.js'

const PAIRS = 3
/** A place is looked at over this many pixels at least, and by every so many-th of them. */
const LEAST_PLACE = 32
const STEP = 3

export interface PlateLook {
  readonly info: SourceInfo
  /** Undefined when it is picture files and none was told. */
  readonly rate: Rate | undefined
  readonly grain: Reading<GrainMeasure>
  /** A frame out of its middle, linear. */
  readonly image: FloatImage
}

/** @throws Problem of the media room when it cannot be read; the signal's reason when cancelled */
export async function lookAtPlate(
  path: string,
  known: KnownFacts,
  { signal, cache }: Pick<Job, 'signal' | 'cache'>,
): Promise<PlateLook> {
  const source = await openCached(path, {}, cache)
  try {
    const { info } = source
    const samples: GrainSample[] = []
    const numbers = spread(0, Math.max(info.frameCount - 2, 0), PAIRS)
    for (const frame of numbers) {
      signal?.throwIfAborted()
      samples.push(...(await platePairs(source, [frame])))
    }
    signal?.throwIfAborted()
    const rate = info.rateEvidence.kind === 'assumed' ? known.plateRate : info.rate
    const middle = samples[samples.length >> 1]?.image as FloatImage
    return {
      info,
      rate,
      grain: await plateGrain(source, { numbers, read: async () => samples }, cache),
      image: middle,
    }
  } finally {
    await source.close()
  }
}

/** Where an element of this size stands, inside the plate; nothing when that is not known or lies outside. */
export function placeOf(
  at: KnownFacts['at'],
  placed: { readonly width: number; readonly height: number } | undefined,
  plate: Region,
): Region | undefined {
  if (at === undefined) return undefined
  const width = Math.max(placed?.width ?? 0, LEAST_PLACE)
  const height = Math.max(placed?.height ?? 0, LEAST_PLACE)
  const r = intersect(
    {
      x: Math.round(at.x - width / 2),
      y: Math.round(at.y - height / 2),
      width: Math.round(width),
      height: Math.round(height),
    },
    plate,
  )
  return r.width > 0 && r.height > 0 ? r : undefined
}

/** The plate's grain (σ of a channel, linear) at the level of a place, or of the whole picture's middle. */
export function grainAt(p: PlateLook, place: Region | undefined): Reading<{ sigma: number; where: string }> {
  if (!told(p.grain)) return p.grain
  const level = levelOf(p.image, place ?? p.image.region)
  const model = p.grain.value
  const variance =
    (varianceAt(model, 0, level) + varianceAt(model, 1, level) + varianceAt(model, 2, level)) / 3
  if (!(variance > 0)) return { cannotTell: 'it has none there' }
  const where =
    place === undefined
      ? `in its middle tones (${percent(level)} of white)`
      : `there (${percent(level)} of white)`
  return { value: { sigma: Math.sqrt(variance), where }, evidence: p.grain.evidence }
}

function levelOf({ region, data }: FloatImage, r: Region): number {
  const levels: number[] = []
  for (let y = r.y; y < r.y + r.height; y += STEP) {
    for (let x = r.x; x < r.x + r.width; x += STEP) {
      const i = 4 * ((y - region.y) * region.width + x - region.x)
      levels.push(((data[i] as number) + (data[i + 1] as number) + (data[i + 2] as number)) / 3)
    }
  }
  return median(levels)
}

/** Black, middle and white of a place; nothing where it is too small. */
export function pointsAt(p: PlateLook, place: Region | undefined): Points | undefined {
  return place === undefined ? undefined : pointsOf([plateCells(p.image, place, 'both')])
}
