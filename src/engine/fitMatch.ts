/** Light link, what does not emit: black, middle and white of the element to those that it should have before the air. */
import { unhaze } from '../chain/air/haze/model.js'
import {
  asGreys,
  coveredCells,
  coverThreshold,
  FIT_ENDS,
  plateCells,
  pointsOf,
} from '../chain/light/match/measure.js'
import type { Points } from '../chain/light/match/model.js'
import { luminanceRow } from '../colour/index.js'
import { confidenceOf, type Evidence, type FloatImage, type Rgb, told } from '../core/index.js'
import type { ShotElement, Treatment } from '../shot/schema.js'
import { type FitContext, sampleNear } from './context.js'
import type { AirFit } from './fitAir.js'
import { plateSettled } from './plateSettings.js'
import { keptColour } from './settings.js'
import { curveTrust, doubted, elementTrust } from './trust.js'

const POINTS = ['black', 'middle', 'white'] as const
const METHOD = '10, 50 and 75 % of 4×4 means'

/** Luminance below which an element's middle has no contrast that could be kept. */
const BLACK = 1e-5

/** What the element should look like before the air, and why. */
export interface Target {
  readonly points: Points
  readonly evidence: (which: keyof Points) => Evidence
}

export function fitMatch(
  e: ShotElement,
  c: FitContext,
  frames: number[],
  images: FloatImage[],
  air: AirFit,
): Record<string, Treatment> {
  const colours = colourPoints(images)
  const kept = keptColour(e, c.sources.plate.info)
  const own = colours && (kept === undefined ? colours : asGreys(colours, kept))
  const target = colours && targetOf(e, c, colours, air)
  const method =
    kept === undefined
      ? METHOD
      : `${METHOD}, as greys: it is taken as balanced for its own light and keeps its colour`
  return {
    ...filled('element', (w) =>
      own === undefined
        ? { cannotTell: 'the element covers too little to be measured' }
        : ({
            value: [...own[w]],
            evidence: doubted({ kind: 'measured', frames, method, confidence: 0.9 }, elementTrust(e, c)),
          } as Treatment),
    ),
    ...filled('plate', (w) =>
      target === undefined
        ? { cannotTell: whyNone(e, c, colours) }
        : ({ value: [...target.points[w]], evidence: target.evidence(w) } as Treatment),
    ),
  }
}

function whyNone(e: ShotElement, c: FitContext, own: Points | undefined): string {
  if (own === undefined) return 'the element covers too little to be measured'
  if (e.compareWith !== undefined) return 'the place to compare with is too small'
  if (e.reflectance === undefined)
    return "no place of the plate was named to compare with (compareWith), nor a grey card and the element's reflectance"
  return c.card !== undefined && !told(c.card) ? c.card.cannotTell : 'the middle of the element is black'
}

function filled(whose: 'element' | 'plate', t: (w: keyof Points) => Treatment): Record<string, Treatment> {
  return Object.fromEntries(POINTS.map((w) => [`light.${whose}${w[0]?.toUpperCase()}${w.slice(1)}`, t(w)]))
}

/**
 * Points that the element should have, before the air: by the light of the place and its reflectance where both are known, else
 * those of the compared place.
 *
 * @param own the element's own colours
 */
export function targetOf(e: ShotElement, c: FitContext, own: Points, air: AirFit): Target | undefined {
  return litTarget(e, c, own) ?? placeTarget(e, c, air)
}

/**
 * In the light of the place the element keeps its own contrast: a medium is lit through and through, and its file says how.
 *
 *   point = ρ · ambient · Y(own point) / Y(own middle)
 */
function litTarget(e: ShotElement, c: FitContext, own: Points): Target | undefined {
  if (e.reflectance === undefined) return undefined
  const light = ambientOf(c)
  if (light === undefined) return undefined
  const row = luminanceRow(c.sources.plate.info.encoding.primaries)
  const level = (v: Rgb) => row[0] * v[0] + row[1] * v[1] + row[2] * v[2]
  const share =
    typeof e.reflectance === 'number' ? [e.reflectance, e.reflectance, e.reflectance] : e.reflectance
  const middle = level(own.middle)
  if (middle < BLACK) return undefined
  const relative = (w: keyof Points) => level(own[w]) / middle
  const point = (w: keyof Points) =>
    light.value.map((v, k) => Math.max((share[k] as number) * v * relative(w), 0)) as unknown as Rgb
  return {
    points: { black: point('black'), middle: point('middle'), white: point('white') },
    evidence: (w) => ({
      kind: 'derived',
      formula: 'reflectance · light of the place · own level / own middle',
      inputs: { reflectance: share, ambient: [...light.value], ownLevel: relative(w) },
      confidence: 0.7 * light.confidence * elementTrust(e, c),
    }),
  }
}

/** Light of the place: set by hand, or off the grey card. */
function ambientOf({ shot, card }: FitContext): { value: Rgb; confidence: number } | undefined {
  const byHand = plateSettled(shot, 'light.ambient', 'set') as Rgb | undefined
  if (byHand !== undefined) return { value: byHand, confidence: 1 }
  return card !== undefined && told(card)
    ? { value: card.value, confidence: confidenceOf(card.evidence) }
    : undefined
}

function placeTarget(e: ShotElement, c: FitContext, air: AirFit): Target | undefined {
  const place = e.compareWith
  const sample = sampleNear(c, place?.frame ?? 0)
  if (place === undefined || sample === undefined) return undefined
  const seen = pointsOf([plateCells(sample.image, place, c.half)])
  if (seen === undefined) return undefined
  const clear = (v: Rgb) =>
    unhaze(v, air.placeTransmittance, air.placeAirlight).map((x) => Math.max(x, 0)) as unknown as Rgb
  const { frame, x, y, width, height } = place
  const region = { x, y, width, height }
  const trust = curveTrust(c.sources.plate)
  return {
    points: { black: clear(seen.black), middle: clear(seen.middle), white: clear(seen.white) },
    evidence: (w) =>
      air.placeTransmittance.every((t) => t === 1)
        ? doubted({ kind: 'measured', frames: [frame], region, method: METHOD, confidence: 0.8 }, trust)
        : {
            kind: 'derived',
            formula: '(seen − airlight · (1 − t)) / t',
            inputs: {
              seen: [...seen[w]],
              airlight: [...air.placeAirlight],
              t: [...air.placeTransmittance],
            },
            confidence: 0.8 * Math.min(air.confidence, trust),
          },
  }
}

/** Black, middle and white of the element's own colours where it covers. */
export function colourPoints(images: readonly FloatImage[], ends = FIT_ENDS): Points | undefined {
  const least = coverThreshold(images)
  return pointsOf(
    images.map((i) => coveredCells(i, least)),
    ends,
  )
}
