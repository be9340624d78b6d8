/** From the plate's treatments to the numbers that the chain applies: lens, grain, the sensor's limits. Pure, as `settings.ts`. */
import type { Aberration } from '../chain/lens/aberration/model.js'
import { type Bend, bendMap, type LensWays, lensWays, plateBend } from '../chain/lens/bend.js'
import { type Distortion, type DistortionForm, isStraight } from '../chain/lens/distortion/model.js'
import type { Glare } from '../chain/lens/glare/model.js'
import { glareParams } from '../chain/lens/glare/params.js'
import type { Vignette } from '../chain/lens/vignette/model.js'
import { beforeRounding } from '../chain/sensor/grain/delivered.js'
import { type GrainModel, grainModel } from '../chain/sensor/grain/model.js'
import type { Limits } from '../chain/sensor/limits/apply.js'
import { weakAberration } from '../chain/strength.js'
import type { ColourEncoding, Evidence, PixelLayout } from '../core/index.js'
import type { WarpMap } from '../kernels/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import type { Picture, Plan } from './plan.js'
import { Ready } from './recent.js'

/** A treatment's value, or nothing where it is missing or could not be told; of one kind of evidence alone when asked. */
export function plateSettled(
  shot: Shot,
  name: keyof Shot['plate']['treatments'],
  kind?: Evidence['kind'],
): readonly number[] | undefined {
  const t = shot.plate.treatments[name]
  if (t === undefined || !('value' in t)) return undefined
  return kind === undefined || t.evidence.kind === kind ? t.value : undefined
}

/** The model that a treatment's numbers belong to, where the document names it. */
export function plateForm(shot: Shot, name: keyof Shot['plate']['treatments']): string | undefined {
  const t = shot.plate.treatments[name] as Treatment | undefined
  return t !== undefined && 'value' in t ? t.form : undefined
}

export function plateLens<T extends readonly number[]>(
  shot: Shot,
  name: 'lens.blurByColour' | 'lens.vignette',
  none: T,
): T {
  return (plateSettled(shot, name) as unknown as T | undefined) ?? none
}

/** Undefined where the lens leaves all light, everywhere. */
export function vignetteOf(shot: Shot, strength = 1): Vignette | undefined {
  const [k1, k2, k3] = plateLens<Vignette>(shot, 'lens.vignette', [0, 0, 0])
  const terms: Vignette = [strength * k1, strength * k2, strength * k3]
  return terms.some((k) => k !== 0) ? terms : undefined
}

/** Width of a glare of which only the share is said; `lensFindings` tells. */
export const ASSUMED_GLARE_PX = glareParams.find((p) => p.name === 'lens.glareWidth')?.default[0] as number

/** Undefined where the lens scatters nothing. */
export function glareOf(shot: Shot, strength: number): Glare | undefined {
  const share = strength * (plateSettled(shot, 'lens.glareShare')?.[0] ?? 0)
  const width = plateSettled(shot, 'lens.glareWidth')?.[0] ?? ASSUMED_GLARE_PX
  return share > 0 ? { share, width } : undefined
}

const bends = new Ready<WarpMap | undefined>('bends', 2)

/** What the plate's lens does to every element, or to one that gets a share of it. */
export function bendOf(
  {
    plate: { width, height },
    shot,
  }: Pick<Plan, 'shot'> & { readonly plate: Pick<Picture, 'width' | 'height'> },
  strength = 1,
): Bend | undefined {
  if (strength === 0) return undefined
  const bent = distortionOf(shot, strength)
  const parted = aberrationOf(shot)
  const [distortion, aberration] = [bent, parted && weakAberration(parted, strength)]
  const frame = { x: 0, y: 0, width, height }
  const map = bends.get([frame, distortion, aberration], () => bendMap(frame, distortion, aberration))
  return map && plateBend(frame, distortion, aberration, map)
}

/** Undefined where nothing is said of it. */
export function aberrationOf(shot: Shot): Aberration | undefined {
  const factors = plateSettled(shot, 'lens.aberration')
  const curve = plateSettled(shot, 'lens.aberrationCurve')
  if (factors === undefined && curve === undefined) return undefined
  return [...(factors ?? [1, 1]), ...(curve ?? [0, 0, 0, 0])] as unknown as Aberration
}

export function distortionOf(shot: Shot, strength: number): Distortion | undefined {
  const terms = plateSettled(shot, 'lens.distortion')
  const axis = plateSettled(shot, 'lens.axis') as readonly [number, number] | undefined
  if (terms === undefined && axis === undefined) return undefined
  const form = (plateForm(shot, 'lens.distortion') ?? 'brown-conrady') as DistortionForm
  return { form, terms: (terms ?? []).map((k) => strength * k), axis }
}

/** Where the lens draws single places of the plate; undefined where it bends nothing. */
export function waysOf(
  shot: Shot,
  { width, height }: Pick<Picture, 'width' | 'height'>,
  strength = 1,
): LensWays | undefined {
  const bent = distortionOf(shot, strength)
  return bent && !isStraight(bent) ? lensWays({ x: 0, y: 0, width, height }, bent) : undefined
}

const grains = new Ready<GrainModel | undefined>('grains', 2)

/** The plate's grain as measured, less what rounding to a delivery's codes will add, or nothing. */
export function grainOf(
  shot: Shot,
  delivery?: { readonly layout: PixelLayout; readonly encoding: ColourEncoding },
): GrainModel | undefined {
  const list = (name: keyof Shot['plate']['treatments']) => plateSettled(shot, name) ?? []
  const lists = {
    levels: list('sensor.grainLevels'),
    variance: list('sensor.grainVariance'),
    correlation: list('sensor.grainCorrelation'),
    mix: list('sensor.grainMix'),
    cross: list('sensor.grainCross'),
    coarse: list('sensor.grainCoarse'),
    coarseSize: list('sensor.grainCoarseSize'),
    coarseMix: list('sensor.grainCoarseMix'),
  }
  return grains.get([lists, delivery], () =>
    grainModel(delivery === undefined ? lists : beforeRounding(lists, delivery.layout, delivery.encoding)),
  )
}

/** Undefined where the plate's sensor ends nowhere. */
export function limitsOf(shot: Shot): Limits | undefined {
  const clip = plateSettled(shot, 'sensor.clip') ?? [0, 0, 0]
  const floor = plateSettled(shot, 'sensor.floor') ?? [-1, -1, -1]
  if (clip.every((v) => v <= 0) && floor.every((v) => v <= -1)) return undefined
  const most = clip.map((v) => (v > 0 ? v : Number.POSITIVE_INFINITY)) as [number, number, number]
  const least = floor.map((v) => (v > -1 ? v : Number.NEGATIVE_INFINITY)) as [number, number, number]
  return { clip: most, floor: least }
}
