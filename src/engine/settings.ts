/** From the document's treatments to the numbers that the chain applies. Pure; each thread makes its own from the plan. */

import type { ElementSettings } from '../chain/element.js'
import { inCameraReach } from '../chain/inCamera.js'
import type { CastSettings, ComposeSettings } from '../chain/layOver.js'
import { type SurfaceMask, surfaceMask } from '../chain/light/cast/apply.js'
import type { Surface } from '../chain/light/cast/model.js'
import { emissionGain } from '../chain/light/emission/model.js'
import { matchEnds, matchTables } from '../chain/light/match/apply.js'
import { depthOrder } from '../chain/order.js'
import { elementParams } from '../chain/params.js'
import { type Placement, scaleFromSize } from '../chain/place/raster/model.js'
import { weakEmission, weakFactors, weakPoints, weakTransmittance } from '../chain/strength.js'
import { planckRgb } from '../colour/planck.js'
import { conversion, luminanceRow } from '../colour/primaries.js'
import { Problem, type Region, type Rgb, samePrimaries } from '../core/index.js'
import type { ThreeEnds } from '../kernels/index.js'
import { natureShares } from '../shot/nature.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import { shutterAngle } from './exposure.js'
import { codesOf, inCameraOf } from './inCamera.js'
import { fieldOf, openingOf } from './opening.js'
import type { Picture, Plan } from './plan.js'
import { bendOf, glareOf, grainOf, limitsOf, plateLens, vignetteOf } from './plateSettings.js'
import { Ready } from './recent.js'
import { tableOf, tablesOf } from './tables.js'

const DEFAULTS = new Map(elementParams.map((p) => [p.name, p.default]))

type Name = keyof ShotElement['treatments']

/** A treatment's value, or nothing where it is missing or could not be told. */
export function settled(e: ShotElement, name: Name): readonly number[] | undefined {
  const t = e.treatments[name]
  return t !== undefined && 'value' in t ? t.value : undefined
}

function rgb(e: ShotElement, name: Name): Rgb {
  const v = settled(e, name) ?? DEFAULTS.get(name) ?? []
  return [v[0] ?? 0, v[1] ?? 0, v[2] ?? 0]
}

function one(e: ShotElement, name: Name): number {
  return rgb(e, name)[0]
}

/** Undefined where a meter looked and could not tell. */
function ownOf(e: ShotElement, name: Name): number | undefined {
  const t = e.treatments[name]
  return t !== undefined && 'cannotTell' in t ? undefined : one(e, name)
}

export function elementSettings(e: ShotElement, picture: Picture, plan: Plan): ElementSettings {
  const plate = plan.plate
  const { primaries } = plate.encoding
  const [cleaned, light, lens] = [strengthOf(e, 'source') > 0, strengthOf(e, 'light'), strengthOf(e, 'lens')]
  const emission = weakEmission(
    {
      stops: one(e, 'light.exposure'),
      temperature: one(e, 'light.temperature'),
      elementTemperature: one(e, 'light.elementTemperature'),
    },
    light,
  )
  const alike = samePrimaries(picture.encoding.primaries, plate.encoding.primaries)
  return {
    id: e.id,
    alpha: e.alpha,
    coding: picture.encoding,
    decode: picture.encoding.curve === 'linear' ? undefined : tableOf(picture.encoding.curve, 'decode'),
    toPlate: alike ? undefined : [...conversion(picture.encoding.primaries, plate.encoding.primaries)],
    emits: natureShares(e.nature).emits,
    coverage: cleaned ? one(e, 'source.coverage') : 1,
    ceiling: cleaned ? ceilingOf(e, picture) : undefined,
    floor: cleaned ? rgb(e, 'source.floor') : [0, 0, 0],
    floorNoise: cleaned ? rgb(e, 'source.floorNoise') : [0, 0, 0],
    match: matchOf(e, plate, light),
    emissionGain: emissionGain(emission.stops, emission.temperature, emission.elementTemperature, primaries),
    transmittance: weakTransmittance(rgb(e, 'air.transmittance'), strengthOf(e, 'air')),
    airlight: rgb(e, 'air.airlight'),
    blurRadius: lens * one(e, 'lens.blurRadius'),
    blurByColour: weakFactors(plateLens(plan.shot, 'lens.blurByColour', [1, 1]), lens),
    blurField: fieldOf(e, lens),
    aperture: openingOf(plan.shot),
    bend: bendOf(plan, lens),
    vignette: vignetteOf(plan.shot, lens),
    glare: glareOf(plan.shot, natureShares(e.nature).emits > 0 ? lens : 0),
    variance: rgb(e, 'sensor.elementVariance'),
    sensorShare: strengthOf(e, 'sensor'),
    inCamera: inCameraOf(
      e,
      plan,
      { overshoot: ownOf(e, 'sensor.elementOvershoot'), chroma: ownOf(e, 'sensor.elementChromaBlur') },
      scaleOf(e, picture, plan.shot, plate.width),
    ),
    ownOpen: ownOpen(e, picture, plate),
    plateOpen: (strengthOf(e, 'shutter') * shutterAngle(plan.shot) * framesAFrame(e, picture, plate)) / 360,
    metresPerPixel: metresPerPixel(e, picture, plan),
    castFactor: light * one(e, 'light.cast'),
    surfaces: surfacesOf(e),
  }
}

/** Only what shines on black has a core to rebuild; what covers keeps its own whites. */
function ceilingOf(e: ShotElement, picture: Picture): ElementSettings['ceiling'] {
  const level = one(e, 'source.ceiling')
  if (level <= 0 || e.alpha !== 'on-black') return undefined
  const [gain, power] = settled(e, 'source.blueOfGreen') ?? []
  const rise = gain !== undefined && power !== undefined && gain > 0 ? { gain, power } : undefined
  return { level, planck: planckRgb(one(e, 'light.elementTemperature'), picture.encoding.primaries), rise }
}

/** What reflects keeps its own colour; smoke and dust take the plate's. */
export function keptColour(e: ShotElement, plate: Pick<Picture, 'encoding'>): Rgb | undefined {
  const { reflects, absorbs } = natureShares(e.nature)
  return reflects > absorbs ? luminanceRow(plate.encoding.primaries) : undefined
}

const matches = new Ready<ThreeEnds>('matches', 8)

function matchOf(e: ShotElement, plate: Picture, strength: number): ElementSettings['match'] {
  const names = [
    'light.elementBlack',
    'light.elementMiddle',
    'light.elementWhite',
    'light.plateBlack',
    'light.plateMiddle',
    'light.plateWhite',
  ] as const
  if (strength === 0 || names.some((n) => settled(e, n) === undefined)) return undefined
  const points = (whose: 'element' | 'plate') => ({
    black: rgb(e, `light.${whose}Black`),
    middle: rgb(e, `light.${whose}Middle`),
    white: rgb(e, `light.${whose}White`),
  })
  const from = points('element')
  const to = weakPoints(from, points('plate'), strength)
  const ends = matches.get([from, to], () => matchEnds(from, to))
  const tables = matchTables(from, to, ends)
  return { from, to, tables, luminance: keptColour(e, plate) }
}

/** Surfaces whose own light was measured: without it nothing says how much they rise. */
function surfacesOf(e: ShotElement): Surface[] {
  const means = settled(e, 'light.surfaces') ?? []
  const all = (e.lights ?? []).map(
    (l, i): Surface => ({
      polygon: l.polygon,
      awayM: l.awayM,
      nearest: l.nearest,
      turnedDeg: l.turnedDeg,
      reflectance: l.reflectance,
      featherPx: l.featherPx,
      mean: [means[3 * i] ?? 0, means[3 * i + 1] ?? 0, means[3 * i + 2] ?? 0],
    }),
  )
  return all.filter((x) => Math.max(...x.mean) > 0)
}

/** Plate pixels per element pixel, from the scale given or from size, distance and camera. */
export function scaleOf(e: ShotElement, picture: Picture, shot: Shot, plateWidth: number): number {
  if (e.scale !== undefined) return e.scale
  if (e.heightM === undefined) return 1
  if (e.distanceM === undefined) {
    throw new Problem({
      code: 'place.no-distance',
      what: 'A real height needs a distance to become pixels',
      where: `elements.${e.id}.distanceM`,
      remedy: 'Give the distance in metres, or a scale instead of the height.',
    })
  }
  const { sensorWidthMm, focalLengthMm } = shot.camera
  return scaleFromSize(e.heightM, e.distanceM, picture.height, plateWidth, sensorWidthMm, focalLengthMm)
}

/** Size of one plate pixel at the element, where the facts give it. */
export function metresPerPixel(
  e: ShotElement,
  picture: Picture,
  plan: Pick<Plan, 'shot' | 'plate'>,
): number | undefined {
  const { sensorWidthMm, focalLengthMm } = plan.shot.camera
  if (e.heightM !== undefined)
    return e.heightM / (picture.height * scaleOf(e, picture, plan.shot, plan.plate.width))
  if (e.distanceM === undefined || sensorWidthMm === undefined || focalLengthMm === undefined)
    return undefined
  return (e.distanceM * sensorWidthMm) / (focalLengthMm * plan.plate.width)
}

export function placementOf(e: ShotElement, picture: Picture, shot: Shot, plateWidth: number): Placement {
  return { ...e.position, scale: scaleOf(e, picture, shot, plateWidth), keys: e.keys ?? [] }
}

/** Frames of an element that pass on one of the plate. */
export function framesAFrame(
  e: ShotElement,
  { rate }: Pick<Picture, 'rate'>,
  plate: Pick<Picture, 'rate'>,
): number {
  return ((e.time?.speed ?? 1) * rate.num * plate.rate.den) / (rate.den * plate.rate.num)
}

/** Frames of its file over which its own motion is blurred on. */
export function ownOpen(
  e: ShotElement,
  picture: Pick<Picture, 'rate'>,
  plate: Pick<Picture, 'rate'>,
): number {
  return (strengthOf(e, 'shutter') * one(e, 'shutter.topUp') * framesAFrame(e, picture, plate)) / 360
}

/** Whether its own motion must be known to draw it. */
export function followsItself(
  e: ShotElement,
  picture: Pick<Picture, 'rate'>,
  plate: Pick<Picture, 'rate'>,
): boolean {
  return (
    ownOpen(e, picture, plate) > 0 || (e.time?.conform === 'flow' && framesAFrame(e, picture, plate) !== 1)
  )
}

export function composeSettings(plan: Plan, elements: ReadonlyMap<string, ElementSettings>): ComposeSettings {
  const { plate, delivery, shot, variant } = plan
  const frame: Region = { x: 0, y: 0, width: plate.width, height: plate.height }
  const decode = tablesOf(plate.encoding, 'decode')
  const encode = tablesOf(delivery.encoding, 'encode')
  const casts = new Map<string, CastSettings>()
  if (variant === 'result') for (const s of elements.values()) addCast(casts, s)
  return {
    frame,
    delivery: { from: plate.encoding, to: delivery.encoding, layout: delivery.layout, decode, encode },
    decode,
    encode,
    steps: depthOrder(shot.elements.map((e) => ({ id: e.id, distanceM: e.distanceM, inside: e.inside }))),
    casts,
    // It may follow the frame's depth map: each frame has its own.
    blur: undefined,
    grain: variant === 'result' && plan.grain ? grainOf(shot, delivery) : undefined,
    limits: variant === 'result' && delivery.limited ? limitsOf(shot) : undefined,
    codes: codesOf(plate, elements),
    codeReach: Math.max(0, ...[...elements.values()].map((s) => inCameraReach(s.inCamera))),
  }
}

const surfaceMasks = new Ready<SurfaceMask>('surfaces', 16)

function addCast(casts: Map<string, CastSettings>, s: ElementSettings): void {
  if (s.metresPerPixel === undefined || s.surfaces.length === 0 || s.castFactor === 0) return
  const masks = s.surfaces.map((surface) => surfaceMasks.get(surface, () => surfaceMask(surface)))
  casts.set(s.id, { masks, metresPerPixel: s.metresPerPixel, factor: s.castFactor })
}
