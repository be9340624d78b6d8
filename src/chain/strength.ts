/**
 * A link's treatment in part: its parameters on the way from "as if it did nothing" (strength 0) to what they are (1), each where
 * its steps are even.
 *
 *   light     exposure in stops · s;  1/T = 1/Tₑ + s·(1/T − 1/Tₑ);  points p = pₑ + s·(p − pₑ);  cast light · s
 *   air       transmittance ^ s: the same air over a part of the way
 *   lens      blur radius · s;  distortion · s;  aberration and blur by colour 1 + s·(k − 1);  vignette · s;  share of glare · s
 *   sensor    the share s of the variance that is missing is topped up; s of the way to where the plate's sensor ends
 *   source    all or nothing: a floor, a clipped core
 *
 * Source: mireds (reciprocal temperature) and thickness of air [koschmieder1924] as even steps; else linear, a choice.
 */
import { pow, type Rgb } from '../core/index.js'
import type { Aberration } from './lens/aberration/model.js'
import type { Points } from './light/match/model.js'

/** Exposure and temperatures of an emitter. */
export interface Emitting {
  readonly stops: number
  readonly temperature: number
  readonly elementTemperature: number
}

export function weakEmission(e: Emitting, s: number): Emitting {
  if (s === 1) return e
  if (s === 0) return { ...e, stops: 0, temperature: e.elementTemperature }
  const from = 1 / e.elementTemperature
  return { ...e, stops: s * e.stops, temperature: 1 / (from + s * (1 / e.temperature - from)) }
}

/** The points that the element's go to. */
export function weakPoints(from: Points, to: Points, s: number): Points {
  if (s === 1) return to
  const between = (a: Rgb, b: Rgb): Rgb => [
    a[0] + s * (b[0] - a[0]),
    a[1] + s * (b[1] - a[1]),
    a[2] + s * (b[2] - a[2]),
  ]
  return {
    black: between(from.black, to.black),
    middle: between(from.middle, to.middle),
    white: between(from.white, to.white),
  }
}

export function weakTransmittance(t: Rgb, s: number): Rgb {
  if (s === 1) return t
  const part = (v: number) => (s === 0 ? 1 : pow(v, s))
  return [part(t[0]), part(t[1]), part(t[2])]
}

/** Factors of red and blue. */
export function weakFactors(k: readonly [number, number], s: number): readonly [number, number] {
  return [1 + s * (k[0] - 1), 1 + s * (k[1] - 1)]
}

export function weakAberration([red, blue, cr, cb, br, bb]: Aberration, s: number): Aberration {
  return [...weakFactors([red, blue], s), s * cr, s * cb, s * br, s * bb]
}
