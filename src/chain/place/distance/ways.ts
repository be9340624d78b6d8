/**
 * Ways to a distance. Each gives the depth along the lens's axis (what size in pixels goes with), its standard deviation, and how
 * much of that comes from the focal length, an error that the ways share.
 *
 *   size    D = F · L / p                    L real length facing the camera m, p its pixels
 *   ground  D = H · F / (−n · d)             H eye height m; undone for the earth's roundness (`earth.ts`)
 *   beside  D = Dₖ · sₖ / s                  a known thing on the same ground; s px below the horizon
 *   haze    D = V · ln(1/t) / ln 50          V visibility m, t share of contrast that a dark thing keeps
 *
 * Errors by first order. Near the horizon they explode: one pixel is D² / (H · F) metres. Closer to it than LEAST standard
 * deviations there is no answer.
 * Source: [criminisi2000] for ground and ratio; [koschmieder1924] for haze.
 */
import { confidenceOf, type Reading, told } from '../../../core/index.js'
import { roundDistance } from './earth.js'
import { belowHorizon, dot, type Measure, type Pixel, rayOf, type Sight } from './sight.js'

export interface Length {
  readonly metres: number
  readonly sd: number
  /** The part of `sd` that comes from the focal length. */
  readonly shared: number
}

/** Standard deviations below the horizon that a foot must lie. */
const LEAST = 3

/** From a length that faces the camera and how many pixels it takes. */
export function bySize(focalPx: Measure, length: Measure, pixels: Measure): Reading<Length> {
  if (pixels.value <= LEAST * pixels.sd)
    return { cannotTell: `it takes ${px(pixels.value)}, which is not known to better than ${px(pixels.sd)}` }
  const metres = (focalPx.value * length.value) / pixels.value
  const own = metres * Math.sqrt(part(length) ** 2 + part(pixels) ** 2)
  return answer(metres, own, metres * part(focalPx), 0.8, 'F · L / p', {
    focalPx: focalPx.value,
    lengthM: length.value,
    pixels: pixels.value,
  })
}

/** From the pixel where it touches level ground, a horizon and the height of the lens. */
export function byGround(s: Sight, eyeM: Measure, foot: Pixel, footSd: number): Reading<Length> {
  const below = belowHorizon(s, foot, footSd)
  if (below === undefined) return { cannotTell: 'the horizon is not known' }
  const d = rayOf(s, foot)
  const level = Math.sqrt(dot(d, d) - dot(d, s.up) ** 2)
  const cosTilt = Math.sqrt(1 - s.up[2] ** 2)
  const depthAt = (belowPx: number) =>
    (roundDistance((eyeM.value * level) / (belowPx * cosTilt), eyeM.value) * s.focalPx.value) / level
  if (below.value <= LEAST * below.sd) return tooNear(below, depthAt)
  const metres = depthAt(below.value)
  const own = metres * Math.sqrt(part(eyeM) ** 2 + part(below) ** 2)
  // Of a tilted camera the horizon's line says part of the tilt by the focal length itself: cos² of the tilt is left.
  const shared = metres * part(s.focalPx) * cosTilt ** 2
  return answer(metres, own, shared, 0.75, 'H · F / (−n · d), for the round earth', {
    eyeM: eyeM.value,
    belowHorizonPx: below.value,
    metresPerPixel: metres / below.value,
  })
}

/** From something known on the same ground: its own distance, and how far both feet lie below the horizon. */
export function byNeighbour(
  s: Sight,
  known: Reading<Length>,
  knownFoot: Pixel,
  foot: Pixel,
  footSd: number,
): Reading<Length> {
  if (!told(known)) return known
  const there = belowHorizon(s, knownFoot, footSd)
  const here = belowHorizon(s, foot, footSd)
  if (there === undefined || here === undefined) return { cannotTell: 'the horizon is not known' }
  if (there.value <= LEAST * there.sd)
    return { cannotTell: 'the known thing stands too near the horizon, or above it' }
  const { sd, shared, metres: known0 } = known.value
  const depthAt = (belowPx: number) => (known0 * there.value) / belowPx
  if (here.value <= LEAST * here.sd) return tooNear(here, depthAt)
  const metres = depthAt(here.value)
  const own = Math.sqrt(sd * sd - shared * shared) / known0
  return answer(
    metres,
    metres * Math.sqrt(own ** 2 + part(there) ** 2 + part(here) ** 2),
    (metres * shared) / known0,
    Math.min(0.75, confidenceOf(known.evidence)),
    'Dₖ · sₖ / s',
    { knownM: known0, knownBelowPx: there.value, belowHorizonPx: here.value },
  )
}

/** @param axis cosine between the way of sight and the lens's axis: haze knows the way that light went */
export function byHaze(visibilityM: Measure, kept: Measure, axis: number): Reading<Length> {
  if (kept.value >= 1 - 2 * kept.sd) return { cannotTell: 'the air before it hardly shows' }
  if (kept.value <= 2 * kept.sd) return { cannotTell: 'it has all but gone in the air' }
  const optical = -Math.log(kept.value)
  const metres = (visibilityM.value * optical * axis) / Math.log(50)
  const own = metres * Math.sqrt(part(visibilityM) ** 2 + (kept.sd / kept.value / optical) ** 2)
  return answer(metres, own, 0, 0.5, 'V · ln(1/t) / ln 50', {
    visibilityM: visibilityM.value,
    contrastKept: kept.value,
  })
}

function tooNear(below: Measure, depthAt: (belowPx: number) => number): Reading<Length> {
  const most = below.value + 2 * below.sd
  const lies = `its foot lies ${px(Math.abs(below.value))} ${below.value < 0 ? 'above' : 'below'} the horizon, and that is known to ${px(below.sd)}`
  if (most <= 0) return { cannotTell: `${lies}: level ground does not reach there` }
  return { cannotTell: `${lies}: it may stand anywhere from ${round(depthAt(most))} m on` }
}

function answer(
  metres: number,
  own: number,
  shared: number,
  confidence: number,
  formula: string,
  inputs: Record<string, number>,
): Reading<Length> {
  const sd = Math.sqrt(own * own + shared * shared)
  return {
    value: { metres, sd, shared },
    evidence: { kind: 'derived', formula, inputs: { ...inputs, sdM: sd }, confidence },
  }
}

/** Relative standard deviation. */
function part(m: Measure): number {
  return m.sd / m.value
}

function px(v: number): string {
  return `${round(v)} px`
}

function round(v: number): string {
  return String(Number(v.toPrecision(3)))
}
