import { log2, Problem, pow, type Rgb } from '../../core/index.js'

/** What was found of one channel's curve, as a table that a document can hold. */
export interface ResponseChannel {
  /** Code values, rising, nominal 0…1. */
  readonly codes: readonly number[]
  /** Linear light of each code, rising, diffuse white = 1, all above 0. */
  readonly lights: readonly number[]
  /** One standard deviation of each light, in stops. */
  readonly spreads: readonly number[]
  /** Root mean square of what the samples lie off the curve, in code. */
  readonly residual: number
  /** How many samples the curve rests on. */
  readonly samples: number
}

/** A camera's measured curve, for R, G and B. White balance is in it: a grey is grey in light. */
export type Response = readonly [ResponseChannel, ResponseChannel, ResponseChannel]

type Rows = Pick<ResponseChannel, 'codes' | 'lights'>

/**
 * Code value to linear light by a measured channel: between the rows of its table straight in stops, beyond its ends
 * straight in light, which nothing has measured. NaN stays NaN.
 *
 * @throws Problem `colour.response-table` where the table does not rise
 */
export function decodeResponse({ codes, lights }: Rows): (code: number) => number {
  demandRising(codes, lights)
  const stops = lights.map(log2)
  return (code) => {
    const i = between(codes, code)
    const outside = code < (codes[0] as number) || code > (codes[codes.length - 1] as number)
    return outside ? line(codes, lights, i, code) : pow(2, line(codes, stops, i, code))
  }
}

/** Linear light to code value: the inverse of `decodeResponse`. */
export function encodeResponse({ codes, lights }: Rows): (light: number) => number {
  demandRising(codes, lights)
  const stops = lights.map(log2)
  return (light) => {
    const i = between(lights, light)
    const outside = light < (lights[0] as number) || light > (lights[lights.length - 1] as number)
    return outside ? line(lights, codes, i, light) : line(stops, codes, i, log2(light))
  }
}

/** One standard deviation of the light at a code, in stops; undefined where the curve was not measured. */
export function responseSpread({ codes, spreads }: ResponseChannel, code: number): number | undefined {
  const inside = code >= (codes[0] as number) && code <= (codes[codes.length - 1] as number)
  return inside ? line(codes, spreads, between(codes, code), code) : undefined
}

/** Codes that all three channels were measured between, and the light there. */
export function responseRange(response: Response): {
  readonly codes: [Rgb, Rgb]
  readonly lights: [Rgb, Rgb]
} {
  const end = (key: 'codes' | 'lights', at: 0 | -1): Rgb => {
    const [r, g, b] = response.map((channel) => channel[key].at(at) as number)
    return [r as number, g as number, b as number]
  }
  return { codes: [end('codes', 0), end('codes', -1)], lights: [end('lights', 0), end('lights', -1)] }
}

/** Row whose interval to the next holds `v`, or the nearest interval. */
function between(rising: readonly number[], v: number): number {
  let low = 0
  let high = rising.length - 2
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if ((rising[middle] as number) <= v) low = middle
    else high = middle - 1
  }
  return low
}

function line(x: readonly number[], y: readonly number[], i: number, at: number): number {
  const x0 = x[i] as number
  const y0 = y[i] as number
  return y0 + ((at - x0) * ((y[i + 1] as number) - y0)) / ((x[i + 1] as number) - x0)
}

function demandRising(codes: readonly number[], lights: readonly number[]): void {
  const rises = (v: readonly number[]) => v.every((x, i) => i === 0 || x > (v[i - 1] as number))
  const fits = codes.length >= 2 && codes.length === lights.length && (lights[0] as number) > 0
  if (fits && rises(codes) && rises(lights)) return
  throw new Problem({
    code: 'colour.response-table',
    what: "the table of a camera's curve is not usable",
    expected: 'two or more codes and as many lights above 0, both rising',
    received: `${codes.length} codes, ${lights.length} lights`,
  })
}
