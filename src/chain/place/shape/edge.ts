/**
 * Where an outline's edge has gone along its normal: the luma across it, as it was where the outline was drawn by hand, is looked
 * for again.
 *
 * Both are slopes of the luma along the normal, means over 5 px along the edge, and are compared by their correlation, so exposure
 * and contrast do not matter. The best place is one of whole half pixels, made finer by a parabola through its neighbours.
 * Cannot tell where the edge is weak, unlike what it was, or as like somewhere else.
 *
 * Source: correlation of profiles, common practice; limits below are choices.
 */
import type { Samples } from '../../../core/index.js'

/** The plate's luma in code values, row by row; edges of pixels at whole numbers. */
export interface Luma {
  readonly width: number
  readonly height: number
  readonly data: Samples
  /** The code range. */
  readonly white: number
}

export type Place = readonly [number, number]

/** Slopes at places every half pixel along the normal, the middle one on the outline. */
export type Profile = Float64Array

const STEP = 0.5
/** Half of what is compared, and how far it is looked for, steps. */
const HALF = 8
const SEARCH = 8
/** Half of what is averaged along the edge, px. */
const ALONG = 2
/** Least slope that is an edge, of the code range a pixel. */
const LEAST_SLOPE = 0.01
const LEAST_LIKENESS = 0.8
/** No place is known better: the hand that drew it was not surer. */
const LEAST_SPREAD = 0.1
/** By so much the best place must be more alike than any other hill. */
const CLEARER = 0.05

export interface EdgeFound {
  /** Along the normal from where it was looked for, px. */
  readonly by: number
  readonly spreadPx: number
}

/** What an edge looks like at a place; `wide`: as far as it is looked for. */
export function profileAt(luma: Luma, [x, y]: Place, [nx, ny]: Place, wide: boolean): Profile {
  const half = HALF + (wide ? SEARCH : 0)
  const values = Float64Array.from({ length: 2 * half + 3 }, (_, i) => {
    const s = STEP * (i - half - 1)
    let sum = 0
    for (let r = -ALONG; r <= ALONG; r++) sum += sample(luma, x + s * nx - r * ny, y + s * ny + r * nx)
    return sum / (2 * ALONG + 1)
  })
  return Float64Array.from(
    { length: 2 * half + 1 },
    (_, i) => ((values[i + 2] as number) - (values[i] as number)) / (2 * STEP),
  )
}

/** Undefined: cannot tell. */
export function findEdge(was: Profile, now: Profile): EdgeFound | undefined {
  if (was.reduce((most, v) => Math.max(most, Math.abs(v)), 0) < LEAST_SLOPE) return undefined
  const alike = Array.from({ length: 2 * SEARCH + 1 }, (_, k) => likeness(was, now, k))
  const best = alike.indexOf(Math.max(...alike))
  const at = (k: number) => alike[k] ?? -1
  if (best === 0 || best === 2 * SEARCH || at(best) < LEAST_LIKENESS) return undefined
  const rival = alike.some(
    (v, k) => Math.abs(k - best) > 2 && v >= at(k - 1) && v >= at(k + 1) && v > at(best) - CLEARER,
  )
  if (rival) return undefined
  const bend = at(best - 1) - 2 * at(best) + at(best + 1)
  const finer = bend < 0 ? (at(best - 1) - at(best + 1)) / (2 * bend) : 0
  // A hill so wide that noise of 1 − likeness moves its top by this much.
  const spread = Math.sqrt(Math.max(1 - at(best), 1e-4) / Math.max(-bend, 1e-3))
  return {
    by: STEP * (best - SEARCH + finer),
    spreadPx: Math.max(LEAST_SPREAD, STEP * Math.min(spread, SEARCH)),
  }
}

function likeness(was: Profile, now: Profile, from: number): number {
  let [ab, aa, bb] = [0, 0, 0]
  for (let i = 0; i < was.length; i++) {
    const [a, b] = [was[i] as number, now[i + from] as number]
    ab += a * b
    aa += a * a
    bb += b * b
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0
}

/** Bilinear; the nearest pixel outside. */
function sample({ width, height, data, white }: Luma, x: number, y: number): number {
  const u = Math.min(Math.max(x - 0.5, 0), width - 1)
  const v = Math.min(Math.max(y - 0.5, 0), height - 1)
  const [i, j] = [Math.min(Math.floor(u), width - 2), Math.min(Math.floor(v), height - 2)]
  const [s, t] = [u - i, v - j]
  const at = (k: number, l: number) => data[l * width + k] as number
  const [upper, lower] = [
    (1 - s) * at(i, j) + s * at(i + 1, j),
    (1 - s) * at(i, j + 1) + s * at(i + 1, j + 1),
  ]
  return ((1 - t) * upper + t * lower) / white
}
