/**
 * An emitter in its own file: how bright its body is and how hot it looks.
 *
 *   temperature  of the body: where red is clipped and green and blue are not, by blue to green; else by green to red of what is
 *                bright and yet unclipped (0.6 to 0.9 of the ceiling). The dimmer rim is cooler and would mislead.
 *   luminance    of a clipped pixel: what its whole channels ask for at that temperature (`askedLuminance`)
 *   blue of green  B = k · G^p on what keeps both whole: the middle line through the means of equal steps of log G
 *   body         Σ L² / Σ L, the luminance at which its light is on the average; where all channels are clipped, a lower bound
 *
 * P: Planck's colour at luminance 1. Source: [planck1901] for the locus; the choice of body: common practice.
 */
import {
  askedLuminance,
  type BlueOfGreen,
  luminanceRow,
  NEAR_CEILING,
  planckRgb,
  temperatureOf,
} from '../../../colour/index.js'
import type { FloatImage, Primaries, Reading, Rgb } from '../../../core/index.js'

/** Share of the ceiling that a clipped body's green reaches at least: below lies the cooler rim. */
const BODY = 0.5

/** Hotter than anything that burns in air. */
const HOTTEST_FLAME = 4000

export interface EmitterMeasure {
  /** Linear luminance, diffuse white = 1. */
  readonly body: number
  readonly temperature: number
  /** Whether its colour is one that a flame can have: on the locus below 4000 K, no more blue than that. */
  readonly flame: boolean
  /** Share of the light that lies at the file's ceiling. */
  readonly clipped: number
  /** How its blue goes with its green, where a clipped flame shows it. */
  readonly rise: BlueOfGreen | undefined
}

/** @param clip linear value at which the element's code ends */
export function measureEmitter(
  images: readonly FloatImage[],
  frames: readonly number[],
  clip: number,
  primaries: Primaries,
): Reading<EmitterMeasure> {
  const body = bodyColour(images, clip, primaries)
  if (body === undefined)
    return { cannotTell: 'the file holds no bright light that keeps two channels unclipped' }
  const { temperature, sum } = body
  const flame = temperature <= HOTTEST_FLAME && sum[0] >= sum[1] && sum[2] <= 0.5 * sum[1]
  const rise = flame && Number.isFinite(clip) ? blueOfGreen(images, clip) : undefined
  const planck = planckRgb(temperature, primaries)
  const { squares, all, atCeiling } = luminances(images, clip, planck, luminanceRow(primaries), rise)
  return {
    value: { body: squares / all, temperature, flame, clipped: atCeiling / all, rise },
    evidence: {
      kind: 'measured',
      frames: [...frames],
      method:
        'luminance weighted by itself, clipped channels by the unclipped ones; Planck locus nearest to the unclipped light',
      confidence: atCeiling / all > 0.3 ? 0.5 : 0.8,
    },
  }
}

function bodyColour(
  images: readonly FloatImage[],
  clip: number,
  primaries: Primaries,
): { temperature: number; sum: Rgb } | undefined {
  const ceiling = Number.isFinite(clip) ? clip : brightest(images)
  const core = lightWhere(
    images,
    (r, g, b) =>
      r > NEAR_CEILING * clip && g > BODY * clip && g < NEAR_CEILING * clip && b < NEAR_CEILING * clip,
  )
  // Blue to green says nothing where the locus has no blue: below some 1900 K in BT.709.
  if (core.count >= 200 && core.sum[2] > 0.03 * core.sum[1])
    return { temperature: temperatureOf(core.sum, primaries, 'blue-green'), sum: core.sum }
  const bright = lightWhere(
    images,
    (r, g, b) => Math.max(r, g, b) > 0.6 * ceiling && Math.max(r, g, b) < 0.9 * clip,
  )
  return bright.count < 50
    ? undefined
    : { temperature: temperatureOf(bright.sum, primaries), sum: bright.sum }
}

function lightWhere(images: readonly FloatImage[], pass: (r: number, g: number, b: number) => boolean) {
  const sum: [number, number, number] = [0, 0, 0]
  let count = 0
  for (const { data } of images) {
    for (let i = 0; i < data.length; i += 4) {
      const r = data[i] as number
      const g = data[i + 1] as number
      const b = data[i + 2] as number
      if (!pass(r, g, b)) continue
      count++
      sum[0] += r
      sum[1] += g
      sum[2] += b
    }
  }
  return { sum, count }
}

/** Steps of log green between these shares of the ceiling; a step of fewer pixels says nothing, fewer steps make no line. */
const STEPS = 12
const FROM = 0.35
const STEP_PIXELS = 40
const LEAST_STEPS = 8
/** Powers between a body of one temperature (1) and the steepest rise that blue makes in a narrow gamut (a choice). */
const LEAST_POWER = 0.9
const MOST_POWER = 2.5
/** Blue under this share of green is floor and noise. */
const LEAST_BLUE = 0.02

/** Line through log blue over log green where both are whole; nothing where too little of the flame shows it. */
function blueOfGreen(images: readonly FloatImage[], clip: number): BlueOfGreen | undefined {
  const steps = Array.from({ length: STEPS }, () => ({ green: 0, blue: 0, count: 0 }))
  const span = Math.log(NEAR_CEILING / FROM)
  for (const { data } of images) {
    for (let i = 0; i < data.length; i += 4) {
      const g = (data[i + 1] as number) / clip
      const b = (data[i + 2] as number) / clip
      if (!(g >= FROM && g < NEAR_CEILING && b < NEAR_CEILING)) continue
      const step = steps[Math.floor((STEPS * Math.log(g / FROM)) / span)] as (typeof steps)[number]
      step.green += g
      step.blue += b
      step.count++
    }
  }
  const points = steps
    .filter((s) => s.count >= STEP_PIXELS && s.blue > LEAST_BLUE * s.green)
    .map((s) => ({ x: Math.log(s.green / s.count), y: Math.log(s.blue / s.count) }))
  if (points.length < LEAST_STEPS) return undefined
  const mean = (of: (p: (typeof points)[number]) => number) =>
    points.reduce((sum, p) => sum + of(p), 0) / points.length
  const [x, y] = [mean((p) => p.x), mean((p) => p.y)]
  const power = mean((p) => (p.x - x) * (p.y - y)) / mean((p) => (p.x - x) ** 2)
  return power < LEAST_POWER || power > MOST_POWER ? undefined : { gain: Math.exp(y - power * x), power }
}

/** Sums over the luminance of every lit pixel, rebuilt where a channel is clipped. */
function luminances(
  images: readonly FloatImage[],
  clip: number,
  planck: Rgb,
  y: Rgb,
  rise: BlueOfGreen | undefined,
) {
  let squares = 0
  let all = 0
  let atCeiling = 0
  for (const { data } of images) {
    for (let i = 0; i < data.length; i += 4) {
      const [r, g, b] = [data[i] as number, data[i + 1] as number, data[i + 2] as number]
      const light = y[0] * r + y[1] * g + y[2] * b
      if (light <= 0.005 || !Number.isFinite(light)) continue
      const asked = askedLuminance(r, g, b, clip, planck, rise)
      const whole = Math.max(light, asked)
      squares += whole * whole
      all += whole
      if (asked > 0) atCeiling += whole
    }
  }
  return { squares, all, atCeiling }
}

function brightest(images: readonly FloatImage[]): number {
  let most = 0
  for (const { data } of images)
    for (let i = 0; i < data.length; i++) if ((i & 3) !== 3) most = Math.max(most, data[i] as number)
  return most
}
