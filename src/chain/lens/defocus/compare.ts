/**
 * Edge width: an element cannot be sharper than the sharpest things that the plate's lens drew.
 *
 *   width = 1.0225 · A / g     A  rise along a monotone run of at most 12 pixels      g  steepest slope in it
 *
 * (2.5631 σ / √(2π) σ: from 10 to 90 % of a Gaussian edge; of a straight ramp it says 1.28 × too much), on brightness, along rows
 * and columns; a run ends where the slope falls under a tenth of its steepest, so that flat and sloping ground count for nothing. The sharpest tenth of the element's edges is
 * held against the sharpest tenth of the plate's; only rises above 8 σ of the grain count. Limit: narrower than 0.7 × (a choice).
 * Soft elements are never accused of being soft. Source: [iso12233] for edge spread; the run method: common practice.
 */
import { brightness } from '../../../colour/index.js'
import { quantile, type Region } from '../../../core/index.js'
import {
  type Comparison,
  cannotTell,
  quiet,
  regionWhere,
  type Seen,
  type SeenElement,
  telling,
} from '../../compare.js'

const LIMIT = 0.7
const LEAST_EDGES = 40
const RUN = 12
const FOOT = 0.1
const BORDER = 4
/** 10 to 90 % of a Gaussian edge over its rise by its steepest slope: 2.5631 / √(2π). */
const GAUSS = 1.0225

export interface EdgeLook {
  readonly frame: number
  readonly plate: number[]
  readonly element: number[]
  readonly region: Region
}

/** @param sigma grain in code values, the plate's or the element's own, whichever is stronger: weaker edges are noise */
export function lookAtEdges(seen: Seen, e: SeenElement, sigma: number): EdgeLook {
  const { width, height } = seen.plate.region
  const least = Math.max(8 * sigma, 0.04)
  const code = brightnessOf(seen.renderedCode.data)
  const before = brightnessOf(seen.plateCode.data)
  const rim = rimOf(e, width)
  return {
    frame: seen.frame,
    plate: widths(before, width, height, least, (p) => seen.touched[p] === 0),
    element: widths(
      code.map((v, p) => v - (seen.keep[p] as number) * (before[p] as number)),
      width,
      height,
      least,
      rim,
    ),
    region: regionWhere(width, height, rim),
  }
}

/**
 * Where the element's outline lies: partly covered, or covered otherwise than a neighbour (a hard edge has no part). The border
 * of its own picture is another tell's.
 */
function rimOf(e: SeenElement, width: number): (p: number) => boolean {
  const { left, top, right, bottom } = e.box
  const differs = (a: number, q: number) => Math.abs(a - (e.alpha[q] ?? a)) > 0.06
  return (p) => {
    const a = e.alpha[p] as number
    const partly = a > 0.03 && a < 0.97
    if (
      !partly &&
      !(differs(a, p - 1) || differs(a, p + 1) || differs(a, p - width) || differs(a, p + width))
    )
      return false
    const column = p % width
    const row = (p - column) / width
    const [x, y] = e.bend === undefined ? [column, row] : e.bend.straight(column, row)
    return x > left + BORDER && x < right - BORDER && y > top + BORDER && y < bottom - BORDER
  }
}

function brightnessOf(data: Float32Array): Float32Array {
  const out = new Float32Array(data.length / 4)
  for (let p = 0; p < out.length; p++) {
    const i = 4 * p
    out[p] = brightness(data[i] as number, data[i + 1] as number, data[i + 2] as number)
  }
  return out
}

/** Widths of the edges that cross every third row and column where `here` holds at the steepest point. */
function widths(
  v: Float32Array,
  width: number,
  height: number,
  least: number,
  here: (p: number) => boolean,
): number[] {
  const out: number[] = []
  for (let y = 1; y < height - 1; y += 3) alongLine(v, y * width, 1, width, least, here, out)
  for (let x = 1; x < width - 1; x += 3) alongLine(v, x, width, height, least, here, out)
  return out
}

/** From each steepest place outward, as long as it goes on the same way with a tenth of that slope or more. */
function alongLine(
  v: Float32Array,
  start: number,
  step: number,
  length: number,
  least: number,
  here: (p: number) => boolean,
  out: number[],
): void {
  const slope = (i: number) => (v[start + i * step] as number) - (v[start + (i - 1) * step] as number)
  for (let i = 1; i < length; i++) {
    const steepest = slope(i)
    const size = Math.abs(steepest)
    if (size * RUN < least) continue
    const part = (k: number) => (k < 1 || k >= length ? 0 : slope(k) / steepest)
    if (part(i - 1) >= 1 || part(i + 1) > 1) continue
    let first = i - 1
    let last = i
    while (last - first <= RUN && part(first) >= FOOT && part(first) <= 1) first--
    while (last - first <= RUN && part(last + 1) >= FOOT && part(last + 1) <= 1) last++
    if (last - first > RUN || part(first) > 1 || part(last + 1) > 1) continue
    const rise = Math.abs((v[start + last * step] as number) - (v[start + first * step] as number))
    if (rise > least && here(start + i * step)) out.push((GAUSS * rise) / size)
  }
}

export function compareEdges(name: string, looks: readonly EdgeLook[]): Comparison {
  const plate = Float64Array.from(looks.flatMap((l) => l.plate)).sort()
  const element = Float64Array.from(looks.flatMap((l) => l.element)).sort()
  const none = (why: string) => cannotTell('edge-width', 'lens', why)
  if (plate.length < LEAST_EDGES) return none('the plate has too few clear edges')
  if (element.length < LEAST_EDGES) return none('the element has too few clear edges')
  const expected = quantile(plate, 0.1)
  const own = quantile(element, 0.1)
  const measured = { edge: [own] }
  if (own >= LIMIT * expected) return quiet(measured)
  return telling(
    {
      tell: 'edge-width',
      link: 'lens',
      frames: looks.map((l) => l.frame),
      region: (looks[0] as EdgeLook).region,
      unit: 'px',
      measured: own,
      expected,
      limit: LIMIT * expected,
      confidence: 0.6,
      sentence: `${name} is sharper than anything in the plate: its edges rise within ${own.toFixed(1)} px, the plate's within ${expected.toFixed(1)}.`,
      cause: "The element's edges never went through the plate's lens.",
      remedy: `Blur it by a disc of about ${missingRadius(own, expected).toFixed(1)} px more (lens.blurRadius).`,
      contrast: (LIMIT * expected) / Math.max(own, 0.1),
    },
    measured,
  )
}

/** Radius of the disc that widens one edge to another: its variance along an axis is r²/4, and variances add. */
function missingRadius(own: number, expected: number): number {
  return Math.max((2 * Math.sqrt(expected * expected - own * own)) / 2.5631, 0.2)
}
