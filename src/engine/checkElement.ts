/** The check of one element: what each link sees of it on every frame, and what that comes to. */
import { compareHaze, type HazeLook } from '../chain/air/haze/compare.js'
import { applyHaze } from '../chain/air/haze/model.js'
import type { Comparison } from '../chain/compare.js'
import { compareEdges, type EdgeLook, lookAtEdges } from '../chain/lens/defocus/compare.js'
import { falloffAt } from '../chain/lens/vignette/model.js'
import { type CastLook, compareCast, lookAtCast } from '../chain/light/cast/compare.js'
import { applyMatch, matchTables } from '../chain/light/match/apply.js'
import { compareMatch, lookAtMatch, type MatchLook } from '../chain/light/match/compare.js'
import { asGreys, CHECK_ENDS } from '../chain/light/match/measure.js'
import type { Points } from '../chain/light/match/model.js'
import { type BorderLook, compareBorder, lookAtBorder } from '../chain/place/raster/compare.js'
import { compareGrain, type GrainLook, lookAtGrain } from '../chain/sensor/grain/compare.js'
import type { GrainMeasure } from '../chain/sensor/grain/measure.js'
import { varianceAt } from '../chain/sensor/grain/model.js'
import type { Codes } from '../chain/sensor/grain/parted.js'
import { compareHalo, type HaloLook, lookAtHalo } from '../chain/source/alpha/compare.js'
import { compareMatte, lookAtMatte, type MatteLook } from '../chain/source/matte/compare.js'
import { compareRim, lookAtRim, type RimLook } from '../chain/source/rim/compare.js'
import { channelCurves } from '../colour/index.js'
import { EMPTY, type Reading, type Region, type Rgb, told } from '../core/index.js'
import { natureShares } from '../shot/index.js'
import type { ShotElement } from '../shot/schema.js'
import { compareProcessed, lookAtProcessed, type ProcessedLook } from './checkInCamera.js'
import { compareThroughLens, FEW, type LensLooks, lookThroughLens, noLensLooks } from './checkLens.js'
import { compareMatteOverTime } from './checkMatte.js'
import { comparePlace } from './checkPlace.js'
import type { FitContext } from './context.js'
import { fitAir } from './fitAir.js'
import { lightOf } from './fitElement.js'
import { colourPoints, targetOf } from './fitMatch.js'
import { weightsOfCodes } from './inCamera.js'
import type { LensNorms } from './lensNorms.js'
import { type Picture, type Plan, pictureOf } from './plan.js'
import { grainOf } from './plateSettings.js'
import { clipLevel } from './samples.js'
import type { Look } from './seen.js'
import { elementSettings, keptColour, settled } from './settings.js'

/** No air at all. */
const CLEAR: Rgb = [1, 1, 1]

/** What was seen of one element, frame by frame. */
export interface ElementLooks {
  readonly match: MatchLook[]
  readonly halo: (HaloLook | undefined)[]
  readonly rim: (RimLook | undefined)[]
  readonly matte: (MatteLook | undefined)[]
  readonly border: BorderLook[]
  readonly edges: EdgeLook[]
  readonly grain: GrainLook[]
  readonly cast: (CastLook | undefined)[]
  readonly processed: ProcessedLook[]
  readonly lens: LensLooks
  /** Where it can be. */
  readonly places: { readonly frame: number; readonly region: Region }[]
}

/** People and things: neither smoke, whose edges are thin, nor fire. */
function isSolid({ nature, alpha }: ShotElement): boolean {
  return natureShares(nature).reflects > 0.5 && alpha !== 'none'
}

/** Adds what one frame shows of each element to `all`. */
export function lookAtElements(
  look: Look,
  plan: Plan,
  context: FitContext,
  grain: Reading<GrainMeasure>,
  norms: LensNorms,
  all: Map<string, ElementLooks>,
): void {
  const clip = clipLevel(context.sources.plate)
  for (const e of look.elements) {
    const own = all.get(e.id) ?? noLooks()
    all.set(e.id, own)
    const element = plan.shot.elements.find((x) => x.id === e.id) as ShotElement
    const picture = plan.elements[e.id]
    if (picture === undefined) continue
    const s = elementSettings(element, picture, plan)
    if (s.emits < 1) {
      const frame = look.seen.plate.region
      const { vignette } = s
      const left = vignette && ((x: number, y: number) => falloffAt(vignette, frame, x, y))
      own.match.push(lookAtMatch(look.seen, e, 0.4, left))
      own.halo.push(lookAtHalo(look.seen, e))
      if (isSolid(element)) {
        own.rim.push(lookAtRim(look.seen, e))
        own.matte.push(lookAtMatte(look.seen, e))
      }
      own.edges.push(lookAtEdges(look.seen, e, codeSigma(plan, grain, e.variance)))
      if (told(grain))
        own.grain.push(
          lookAtGrain(look.seen, e, {
            norm: grain.value,
            clip,
            own: e.variance,
            codes: grainCodes(plan.plate),
          }),
        )
    }
    if (natureShares(element.nature).reflects > 0.5 && own.processed.length < FEW)
      own.processed.push(lookAtProcessed(look.seen, e))
    lookThroughLens(look, e, { element, s }, norms, context, own.lens)
    own.border.push(lookAtBorder(look.seen, e))
    own.places.push({ frame: look.seen.frame, region: e.region })
    for (const surface of s.surfaces) {
      if (e.emission === undefined || s.metresPerPixel === undefined) continue
      own.cast.push(lookAtCast(look.seen, surface, e.emission, s.metresPerPixel))
    }
  }
}

function noLooks(): ElementLooks {
  return {
    match: [],
    halo: [],
    rim: [],
    matte: [],
    border: [],
    edges: [],
    grain: [],
    cast: [],
    processed: [],
    lens: noLensLooks(),
    places: [],
  }
}

/** Half of what a curve's slope is read over, of the level. */
const SLOPE = 0.02

function grainCodes({ encoding }: Pick<Picture, 'encoding'>): Codes {
  const curves = channelCurves(encoding)
  const slope = (c: number, level: number) => {
    const [{ encode }, by] = [curves[c] as (typeof curves)[0], Math.max(SLOPE * level, 1e-5)]
    return (encode(level + by) - encode(level - by)) / (2 * by)
  }
  return { slope, luma: weightsOfCodes(encoding) }
}

/** Grain at 18 % in code values: the plate's, as far as it is known, or the element's own where that is stronger. */
function codeSigma(plan: Plan, grain: Reading<GrainMeasure>, own: Rgb): number {
  const [, { encode }] = channelCurves(plan.plate.encoding)
  const inCode = (variance: number) => Math.abs(encode(0.18 + Math.sqrt(variance)) - encode(0.18))
  return Math.max(told(grain) ? inCode(varianceAt(grain.value, 1, 0.18)) : 0.005, inCode(own[1]))
}

/** All that the links say of one element. */
export async function compareElement(
  e: ShotElement,
  seen: ElementLooks,
  c: FitContext,
  grain: Reading<GrainMeasure>,
  norms: LensNorms,
): Promise<Comparison[]> {
  const out: Comparison[] = []
  const name = e.id
  if (natureShares(e.nature).emits < 1) {
    const expected = await expectedPoints(e, c)
    const match = compareMatch(name, seen.match, expected?.seen)
    out.push(
      match,
      compareHalo(name, seen.halo),
      ...(isSolid(e)
        ? [compareRim(name, seen.rim), compareMatte(name, seen.matte), await overTime(e, seen, c)]
        : []),
      compareEdges(name, seen.edges),
      compareGrain(name, seen.grain, normOf(grain), grainOf(c.shot), grainCodes(c.sources.plate.info)),
    )
    out.push(
      compareHaze({
        name,
        frames: seen.match.map((l) => l.frame),
        region: seen.match[0]?.region ?? { x: 0, y: 0, width: 0, height: 0 },
        black: match.measured.black,
        clear: expected?.clearBlack,
        ...airBefore(e, c),
        distanceM: e.distanceM,
      }),
    )
  }
  out.push(
    compareBorder(name, seen.border),
    ...compareProcessed(name, seen.processed, c.sources.plate, c.shot.plate.treatments),
  )
  if (seen.cast.length > 0) out.push(compareCast(name, seen.cast))
  const blurRadius = settled(e, 'lens.blurRadius')?.[0] ?? 0
  out.push(...compareThroughLens(e, seen.lens, norms, c, blurRadius))
  out.push(...placeOf(e, seen, c))
  return out
}

function overTime(e: ShotElement, { places }: ElementLooks, c: FitContext): Promise<Comparison> {
  const region = places[Math.floor(places.length / 2)]?.region ?? EMPTY
  return compareMatteOverTime(e, c, { frames: places.map((p) => p.frame), region })
}

function placeOf(e: ShotElement, { places }: ElementLooks, { shot, sources }: FitContext): Comparison[] {
  const picture = sources.elements.get(e.id)?.info
  const region = places[Math.floor(places.length / 2)]?.region
  if (picture === undefined || region === undefined) return []
  const facts = { shot, plate: sources.plate.info, picture: pictureOf(picture) }
  return comparePlace(e, facts, { frames: places.map((p) => p.frame), region })
}

/**
 * The air that should lie before the element. What visibility and distance say goes before a treatment set by hand: that is
 * what is being checked. Air that was only read off the plate does not.
 */
function airBefore(e: ShotElement, c: FitContext): Pick<HazeLook, 'transmittance' | 'airlight'> {
  const { transmittance, airlightColour } = fitAir(e, c)
  if ('value' in transmittance && transmittance.evidence.kind === 'derived')
    return { transmittance: transmittance.value as unknown as Rgb, airlight: airlightColour }
  return {
    transmittance: settled(e, 'air.transmittance') as Rgb | undefined,
    airlight: settled(e, 'air.airlight') as Rgb | undefined,
  }
}

/**
 * What the element should look like: its own colours, balanced and exposed to the grey card or the compared place (the half of it
 * that the fit did not use), through the element's own air. Measured anew; nothing is taken from the element's light treatments in the document.
 */
async function expectedPoints(
  e: ShotElement,
  c: FitContext,
): Promise<{ seen: Points; clearBlack: Rgb } | undefined> {
  const { images } = await lightOf(e, c)
  const fitted = colourPoints(images)
  const colours = colourPoints(images, CHECK_ENDS)
  const air = fitAir(e, c)
  const target = fitted && targetOf(e, c, fitted, air)
  if (target === undefined || fitted === undefined || colours === undefined) return undefined
  const kept = keptColour(e, c.sources.plate.info)
  const from = kept === undefined ? fitted : asGreys(fitted, kept)
  const match = matchTables(from, target.points)
  const look = (v: Rgb, t: Rgb): Rgb => {
    const image = { region: { x: 0, y: 0, width: 1, height: 1 }, data: Float32Array.from([...v, 1]) }
    applyMatch(image, match, kept)
    applyHaze(image, t, air.airlightColour)
    return [image.data[0] as number, image.data[1] as number, image.data[2] as number]
  }
  const t = (settled(e, 'air.transmittance') as Rgb | undefined) ?? CLEAR
  const seen = {
    black: look(colours.black, t),
    middle: look(colours.middle, t),
    white: look(colours.white, t),
  }
  return { seen, clearBlack: look(colours.black, CLEAR) }
}

/** Of a plate that moves grain may be hardly known: then none is judged by it. A choice. */
function normOf(grain: Reading<GrainMeasure>): GrainMeasure | { cannotTell: string } {
  if (!told(grain)) return grain
  const { evidence } = grain
  return 'confidence' in evidence && evidence.confidence < 0.3
    ? { cannotTell: 'the plate shows too little of it that holds still' }
    : grain.value
}
