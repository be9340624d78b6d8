/** One element's treatments, derived link by link from what was measured on the plate and on its own file. */

import type { ElementSettings } from '../chain/element.js'
import { measureSurface } from '../chain/light/cast/measure.js'
import { type EmitterMeasure, measureEmitter } from '../chain/light/emission/measure.js'
import { whiteLuminance } from '../chain/light/emission/model.js'
import { measureOwnGrain } from '../chain/sensor/grain/measureOwn.js'
import { openSeconds } from '../chain/shutter/angle/model.js'
import { topUpAngle } from '../chain/shutter/ownMotion/model.js'
import { measureFloor } from '../chain/source/floor/measure.js'
import { type Evidence, type FloatImage, type Told, told } from '../core/index.js'
import { natureShares } from '../shot/index.js'
import type { ShotElement, Treatment } from '../shot/schema.js'
import type { FitContext } from './context.js'
import { shutterAngle, shutterAssumed, shutterTrust } from './exposure.js'
import { fitAir } from './fitAir.js'
import { fitBlur } from './fitBlur.js'
import { fitOwnInCamera } from './fitInCamera.js'
import { fitMatch } from './fitMatch.js'
import { makePlan, shotRange } from './plan.js'
import { clipLevel, elementLight, withAfters } from './samples.js'
import { elementSettings, framesAFrame, metresPerPixel } from './settings.js'
import { curveTrust, doubted, doubtedReading, elementTrust } from './trust.js'

type Found = Record<string, Treatment>

/** Frames of the element that the meters look at. */
const ELEMENT_SAMPLES = 5

/** A shutter that is only assumed may be a stop and more off. */
const SHUTTER_DOUBT = 0.7

/** Between a match flame's 1700 K and a candle's 1850 K (common practice). */
const FLAME_K = 1775

export async function fitElement(e: ShotElement, c: FitContext): Promise<ShotElement['treatments']> {
  const found: Found = {}
  const cleaned = { ...e, treatments: await fitFloor(e, c, found) }
  const { frames, images } = await lightOf(cleaned, c)
  const air = fitAir(e, c)
  put(found, 'air.transmittance', air.transmittance)
  put(found, 'air.airlight', air.airlight)
  if (natureShares(e.nature).emits > 0) await fitEmission(cleaned, c, found)
  if (natureShares(e.nature).emits < 1) Object.assign(found, fitMatch(e, c, frames, images, air))
  fitCast(e, c, found)
  fitTopUp(e, c, found)
  put(found, 'lens.blurRadius', fitBlur(e, c, { frames, images }))
  Object.assign(found, fitOwnInCamera(e, c.shot, c.sources.elements.get(e.id), { frames, images }))
  await fitOwnGrain(cleaned, c, { frames, images }, found)
  return found as ShotElement['treatments']
}

function put(found: Found, name: string, t: Treatment): void {
  found[name] = t
}

function treatment(value: readonly number[], evidence: Evidence): Treatment {
  return { value: [...value], evidence } as Treatment
}

/**
 * Frames of the element as the source link gives them, spread over what the shot shows of it. That the document weakens links is
 * left aside: a fit is the same whatever their strength, and a check tells what they give away.
 *
 * @param primaries `own`: before they are carried over to the plate's, where the file's ceiling is one number for all channels
 */
export async function lightOf(
  e: ShotElement,
  c: FitContext,
  primaries: 'plate' | 'own' = 'plate',
): Promise<{ frames: number[]; images: FloatImage[] }> {
  const settings = lightSettings(e, c, primaries)
  if (settings === undefined) return { frames: [], images: [] }
  const { count } = shotRange(c.shot, c.sources.plate.info.frameCount)
  return elementLight(e, c.shot, c.sources, settings, count, ELEMENT_SAMPLES)
}

/** How light of the element's file is read; its own primaries, or the plate's. */
export function lightSettings(
  e: ShotElement,
  c: FitContext,
  primaries: 'plate' | 'own',
): ElementSettings | undefined {
  const plan = makePlan(c.shot, c.sources, { format: 'exr-half' })
  const picture = plan.elements[e.id]
  if (picture === undefined) return undefined
  const { links: _, ...whole } = e
  const settings = elementSettings(whole, picture, plan)
  return primaries === 'own' ? { ...settings, toPlate: undefined } : settings
}

async function fitOwnGrain(
  e: ShotElement,
  c: FitContext,
  { frames, images }: { frames: readonly number[]; images: readonly FloatImage[] },
  found: Found,
): Promise<void> {
  const source = c.sources.elements.get(e.id)
  const settings = lightSettings(e, c, 'plate')
  if (source === undefined || settings === undefined) return
  const samples = await withAfters(frames, images, source, settings)
  const grain = doubtedReading(measureOwnGrain(samples, clipLevel(source)), elementTrust(e, c))
  put(found, 'sensor.elementVariance', told(grain) ? treatment([...grain.value], grain.evidence) : grain)
}

/** Source link. Gives what the other meters must see taken off: a floor set by hand wins. */
async function fitFloor(e: ShotElement, c: FitContext, found: Found): Promise<Found> {
  if (e.alpha !== 'on-black') return {}
  const raw = await lightOf({ ...e, treatments: {} }, c)
  const m = doubtedReading(measureFloor(raw.images, raw.frames), elementTrust(e, c))
  const own: Found = told(m)
    ? {
        'source.floor': treatment(m.value.floor, m.evidence),
        'source.floorNoise': treatment(m.value.noise, m.evidence),
      }
    : { 'source.floor': m, 'source.floorNoise': m }
  Object.assign(found, own)
  const byHand = Object.entries(e.treatments).filter(
    ([n, t]) => n in own && t !== undefined && 'value' in t && t.evidence.kind === 'set',
  )
  return { ...own, ...(Object.fromEntries(byHand) as Found) }
}

/** Light link, emitters: by exposure and temperature, never by black and white points. */
async function fitEmission(e: ShotElement, c: FitContext, found: Found): Promise<void> {
  const source = c.sources.elements.get(e.id)
  if (source === undefined) return
  const { frames, images } = await lightOf(e, c, 'own')
  const { primaries } = source.info.encoding
  const trust = curveTrust(source)
  const m = doubtedReading(measureEmitter(images, frames, clipLevel(source), primaries), trust)
  if (!told(m)) {
    for (const name of ['light.exposure', 'light.temperature', 'light.elementTemperature'])
      put(found, name, m)
    return
  }
  put(found, 'light.elementTemperature', treatment([m.value.temperature], m.evidence))
  put(
    found,
    'light.temperature',
    m.value.flame
      ? assumed(
          [FLAME_K],
          'the middle of what flames shine at, 1700 K (a match) to 1850 K (a candle); set it where you know better',
          0.5,
        )
      : assumed([m.value.temperature], 'its colour is not that of a flame: it keeps its own', 0.5),
  )
  if (m.value.flame) fitCeiling(e, clipLevel(source), m, found)
  put(found, 'light.exposure', exposureOf(e, c, m.value.body, (m.value.clipped > 0.3 ? 0.4 : 0.6) * trust))
}

function fitCeiling(e: ShotElement, clip: number, m: Told<EmitterMeasure>, found: Found): void {
  const { clipped, rise } = m.value
  if (e.alpha !== 'on-black' || !Number.isFinite(clip) || clipped < 0.02) return
  const share = `${Math.round(100 * clipped)} % of its light lies at the ceiling of its file`
  const how = rise === undefined ? 'by its temperature' : 'by its temperature and the rise of its blue'
  put(found, 'source.ceiling', assumed([clip], `${share}: the core is rebuilt ${how}`, 0.4))
  if (rise === undefined || m.evidence.kind !== 'measured') return
  const method = 'line through log blue over log green where both are whole'
  put(found, 'source.blueOfGreen', treatment([rise.gain, rise.power], { ...m.evidence, method }))
}

function exposureOf(e: ShotElement, c: FitContext, body: number, confidence: number): Treatment {
  const { iso, fNumber } = c.shot.camera
  if (e.luminanceCdM2 === undefined || iso === undefined || fNumber === undefined) {
    return assumed(
      [0],
      'neither its luminance nor the exposure is known: it keeps the brightness of its own file',
      0.2,
    )
  }
  const { rate } = c.sources.plate.info
  const shutter = openSeconds(shutterAngle(c.shot), rate.num / rate.den)
  const white = whiteLuminance(fNumber, shutter, iso)
  return treatment([Math.log2(e.luminanceCdM2 / white / body)], {
    kind: 'derived',
    formula: 'log2(luminance / luminance of diffuse white at this exposure / body of the element)',
    inputs: { luminanceCdM2: e.luminanceCdM2, whiteCdM2: white, body, iso, fNumber, shutterSeconds: shutter },
    confidence: shutterAssumed(c.shot) ? SHUTTER_DOUBT * confidence : confidence,
  })
}

/** Shutter link: what its own motion lacks of the plate's blur. */
function fitTopUp(e: ShotElement, c: FitContext, found: Found): void {
  const info = c.sources.elements.get(e.id)?.info
  if (info === undefined || info.frameCount < 2) return
  const ownDeg = e.filmed?.shutterAngleDeg
  if (ownDeg === undefined) {
    const cannotTell =
      'its own shutter is not known (filmed.shutterAngleDeg): what moves in it keeps the blur that it has'
    put(found, 'shutter.topUp', { cannotTell })
    return
  }
  const [plateDeg, frames] = [shutterAngle(c.shot), framesAFrame(e, info, c.sources.plate.info)]
  put(
    found,
    'shutter.topUp',
    treatment([topUpAngle(plateDeg, ownDeg, frames)], {
      kind: 'derived',
      formula: '√(plate² − (own / frames of it on one of the plate)²)',
      inputs: { plateDeg, ownDeg, framesOnOne: frames },
      confidence: shutterTrust(c.shot),
    }),
  )
}

function fitCast(e: ShotElement, c: FitContext, found: Found): void {
  const surfaces = e.lights ?? []
  if (surfaces.length === 0) return
  const { plate, elements } = makePlan(c.shot, c.sources, { format: 'exr-half' })
  const picture = elements[e.id]
  const sample = c.samples[0]
  if (picture === undefined || sample === undefined) return
  const m = metresPerPixel(e, picture, { shot: c.shot, plate })
  if (m === undefined) {
    put(found, 'light.cast', {
      cannotTell: 'without its real height or a distance and the lens, its light has no scale',
    })
    return
  }
  const means: number[] = []
  for (const s of surfaces) {
    const mean = measureSurface(sample.image, { ...s, nearest: s.nearest }, sample.frame)
    means.push(...(told(mean) ? mean.value : [0, 0, 0]))
    if (told(mean))
      put(found, 'light.surfaces', treatment(means, doubted(mean.evidence, curveTrust(c.sources.plate))))
  }
  put(
    found,
    'light.cast',
    treatment([1], {
      kind: 'derived',
      formula: 'reflectance/π · intensity · away / distance³',
      inputs: {
        metresPerPixel: m,
        awayM: surfaces.map((s) => s.awayM),
        reflectance: surfaces.map((s) => s.reflectance),
      },
      confidence: 0.5,
    }),
  )
}

function assumed(value: number[], why: string, confidence: number): Treatment {
  return { value, evidence: { kind: 'assumed', why, confidence } }
}
