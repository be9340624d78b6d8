/**
 * Where the element was seen and lit from, against the plate: told by a person, in no file of pictures.
 *
 *   tilt = |atan(h / d) − atan(hₑ / dₑ)|      angles down onto its foot; h, hₑ camera heights over it, d, dₑ distances, in m
 *   without dₑ: |h − hₑ| / max(h, hₑ)         the horizon crosses what stands on level ground at the camera's height
 *
 * Limits (choices): tilt 3° and 10°; heights a fifth and a half apart.
 */

import { percent } from '../words.js'
import type { KnownFacts, LightSide, Line } from './types.js'
import { cannotTell, judge, short, unasked } from './verdict.js'

const TILT = { fine: 3, poor: 10 }
const APART = { fine: 0.2, poor: 0.5 }

const BESIDE = 'or write it into platefit.facts.json beside it'

export function cameraHeightLine(k: KnownFacts): Line {
  const { cameraHeightM: h, elementCameraHeightM: he, distanceM: d, elementDistanceM: de } = k
  const ask = `tell --element-camera-height, ${BESIDE}`
  if (h === undefined && he === undefined)
    return unasked('camera height', "neither the plate's nor the element's is known", 'tell --camera-height')
  if (h === undefined) return cannotTell('camera height', "the plate's is not known", 'tell --camera-height')
  if (he === undefined) return cannotTell('camera height', "the element's is not known", ask)
  const remedy = { remedy: `take one seen from ${short(h)} m` }
  const heights = `plate from ${short(h)} m, element from ${short(he)} m`
  if (d !== undefined && de !== undefined) {
    const tilt = (Math.abs(Math.atan2(h, d) - Math.atan2(he, de)) * 180) / Math.PI
    return {
      name: 'camera height',
      ...judge(tilt, TILT),
      figure: `${short(tilt)}° off`,
      value: tilt,
      why: `${heights}: looked down on ${short(tilt)}° apart; up to ${TILT.fine}° is fine, up to ${TILT.poor}° poor`,
      ...(tilt <= TILT.fine ? {} : remedy),
    }
  }
  const apart = Math.abs(h - he) / Math.max(h, he, 1e-9)
  return {
    name: 'camera height',
    ...judge(apart, APART),
    figure: `${percent(apart)} off`,
    value: apart,
    why: `${heights}: their horizons cross it ${percent(apart)} apart; up to ${percent(APART.fine)} is fine, up to ${percent(APART.poor)} poor`,
    ...(apart <= APART.fine ? {} : remedy),
  }
}

/** Nothing when it is told to emit. */
export function lightSideLine(k: KnownFacts): Line | undefined {
  const { lightSide: plate, elementLightSide: element } = k
  if (k.nature === 'emits') return undefined
  if (plate === undefined && element === undefined)
    return unasked('light side', "neither the plate's nor the element's is known", 'tell --light-side')
  if (plate === undefined) return cannotTell('light side', "the plate's is not known", 'tell --light-side')
  if (element === undefined)
    return cannotTell('light side', "the element's is not known", `tell --element-light-side, ${BESIDE}`)
  const base = { name: 'light side', figure: `${element} on ${plate}` } as const
  if (plate === element)
    return { ...base, verdict: 'fine', worth: 1, figure: plate, why: `both are lit from the ${plate}` }
  const why = `the plate is lit from the ${plate}, the element from the ${element}`
  if (isSide(plate) && isSide(element))
    return { ...base, verdict: 'poor', worth: 0.75, why, remedy: 'mirror it' }
  if (isSide(plate) || isSide(element))
    return { ...base, verdict: 'poor', worth: 0.55, why, remedy: `take one lit from the ${plate}` }
  return { ...base, verdict: 'unfit', worth: 0.3, why, remedy: `take one lit from the ${plate}` }
}

function isSide(s: LightSide): boolean {
  return s === 'left' || s === 'right'
}
