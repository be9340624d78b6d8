/** Air link: airlight and transmittance before the element and before the place that it is compared with. */
import { airlightOfFrame, nearestBlack, transmittanceOfPlace } from '../chain/air/haze/measure.js'
import { transmittance, visibilityFor } from '../chain/air/haze/model.js'
import { plateCells, pointsOf } from '../chain/light/match/measure.js'
import type { Points } from '../chain/light/match/model.js'
import { confidenceOf, type Evidence, type Reading, type Rgb, told } from '../core/index.js'
import type { Shot, ShotElement, Treatment } from '../shot/schema.js'
import { type FitContext, sampleNear } from './context.js'
import { plateSettled } from './plateSettings.js'
import { clipLevel } from './samples.js'
import { settled } from './settings.js'
import { curveTrust, doubted, doubtedReading } from './trust.js'

export interface AirFit {
  readonly transmittance: Treatment
  readonly airlight: Treatment
  /** Before the compared place; 1 where nothing is known, so that its haze stays in its points. */
  readonly placeTransmittance: Rgb
  /** Over the horizon behind the place, and behind the element. */
  readonly placeAirlight: Rgb
  readonly airlightColour: Rgb
  readonly confidence: number
}

const CLEAR: Rgb = [1, 1, 1]
/** Fog is a visibility below 1 km [wmo8]: so thick an air is not concluded from one black. */
const FOG_M = 1000

export function fitAir(e: ShotElement, c: FitContext): AirFit {
  const sample = sampleNear(c, e.compareWith?.frame ?? 0)
  if (sample === undefined) return unknown('the plate could not be sampled')
  const place =
    e.compareWith === undefined ? undefined : pointsOf([plateCells(sample.image, e.compareWith, c.half)])
  const clip = clipLevel(c.sources.plate)
  const trust = curveTrust(c.sources.plate)
  const over = (x: number) => doubtedReading(airlightOfFrame(sample.image, sample.frame, x, clip), trust)
  const atElement = over(e.position.x)
  const atPlace = e.compareWith === undefined ? atElement : over(e.compareWith.x + e.compareWith.width / 2)
  const visibility = visibilityOf(c.shot)
  const placeDistance = e.compareWith?.distanceM ?? e.distanceM

  if (visibility !== undefined && placeDistance !== undefined) {
    const t = Math.max(transmittance(visibility, placeDistance), clearest(place, atPlace))
    const d = e.distanceM ?? placeDistance
    return known(e, atElement, atPlace, t, transmittance(visibility, d), {
      kind: 'derived',
      formula: 'e^(−ln 50 · d / V)',
      inputs: { visibilityM: visibility, distanceM: d },
      confidence: 0.7,
    })
  }
  if (place === undefined)
    return unknown('neither the visibility and a distance nor a place to compare with is known')
  if (!told(atPlace)) return unknown(atPlace.cannotTell)
  if (atPlace.evidence.kind === 'assumed')
    return unknown(
      'no open sky is seen down to a horizon, so what raises the blacks may be light as well as air',
    )
  if (placeDistance === undefined)
    return unknown(
      'how far the place to compare with is is not known (compareWith.distanceM), so what raises its blacks may be light as well as air',
    )
  const t = transmittanceOfPlace(place.black, nearestBlack(sample.image), atPlace.value, sample.frame)
  if (!told(t)) return unknown(t.cannotTell)
  const foggy = visibilityFor(t.value, placeDistance)
  if (foggy < FOG_M)
    return unknown(
      `by its blacks the place would stand in fog of ${foggy.toFixed(0)} m: rather light falls on them; where there is fog or smoke, say how far one sees (site.visibilityM)`,
    )
  const ratio =
    e.distanceM !== undefined && e.compareWith?.distanceM !== undefined
      ? e.distanceM / e.compareWith.distanceM
      : 1
  return known(e, atElement, atPlace, t.value, t.value ** ratio, doubted(t.evidence, trust))
}

/** Set by hand, else as the site says, else off the marks. */
function visibilityOf(shot: Shot): number | undefined {
  const byHand = plateSettled(shot, 'air.visibility', 'set')?.[0]
  return byHand ?? shot.site.visibilityM ?? plateSettled(shot, 'air.visibility')?.[0]
}

/** Share of the place's blacks that the air before it may make up. */
const AIR_IN_BLACK = 0.8

/** Least transmittance that leaves the place's blacks above the air before it; 0 when either is unknown. */
function clearest(place: Points | undefined, airlight: Reading<Rgb>): number {
  if (place === undefined || !told(airlight)) return 0
  const share = ([0, 1, 2] as const).map((c) => place.black[c] / Math.max(airlight.value[c], 1e-6))
  return 1 - AIR_IN_BLACK * Math.max(Math.min(...share), 0)
}

function known(
  e: ShotElement,
  airlight: Reading<Rgb>,
  placeAirlight: Reading<Rgb>,
  tPlace: number,
  tElement: number,
  evidence: Evidence,
): AirFit {
  if (!told(airlight)) return unknown(airlight.cannotTell)
  if (!told(placeAirlight)) return unknown(placeAirlight.cannotTell)
  const setColour = settledByHand(e, 'air.airlight')
  return {
    transmittance: { value: [tElement, tElement, tElement], evidence } as Treatment,
    airlight: { value: [...airlight.value], evidence: airlight.evidence } as Treatment,
    placeTransmittance: [tPlace, tPlace, tPlace],
    airlightColour: setColour ?? airlight.value,
    placeAirlight: setColour ?? placeAirlight.value,
    confidence: Math.min(confidenceOf(evidence), confidenceOf(airlight.evidence)),
  }
}

function settledByHand(e: ShotElement, name: 'air.airlight'): Rgb | undefined {
  const t = e.treatments[name]
  if (t === undefined || !('value' in t) || t.evidence.kind !== 'set') return undefined
  return settled(e, name) as Rgb | undefined
}

function unknown(why: string): AirFit {
  return {
    transmittance: { cannotTell: why },
    airlight: { cannotTell: why },
    placeTransmittance: CLEAR,
    placeAirlight: [0, 0, 0],
    airlightColour: [0, 0, 0],
    confidence: 1,
  }
}
