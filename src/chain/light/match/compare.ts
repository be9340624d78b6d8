/**
 * Blacks, whites, middle and cast of a covering element in the finished file.
 *
 * The element's own colour is taken out of the read-back picture where it covers (4×4 cells):
 *
 *   c = (rendered − keep · plate) / α
 *
 * and its 10, 50 and 90 % points are held against what a fit of the compared place would make of the element's own (whose white
 * lies further in). Differences are stops, log2((c + ε)/(e + ε)).
 * Never asked of what only emits. Limits: half a stop; cast 0.2 stop between channels (choices).
 */
import type { Region, Rgb } from '../../../core/index.js'
import {
  type Comparison,
  cannotTell,
  regionWhere,
  type Seen,
  type SeenElement,
  stops,
  type Verdict,
} from '../../compare.js'
import { type Cells, CHECK_ENDS, pointsOf } from './measure.js'
import type { Points } from './model.js'

const LIMIT_STOPS = 0.5
const LIMIT_CAST = 0.2
/** Light below which a difference in stops means nothing to the eye. */
const EPSILON = 0.004
const CELL = 4

export interface MatchLook {
  readonly frame: number
  readonly cells: Cells
  readonly region: Region
}

/**
 * The element's own colour on one frame, from the finished picture.
 *
 * @param left what share of its light the lens leaves at a place of the plate
 */
export function lookAtMatch(
  seen: Seen,
  e: SeenElement,
  least: number,
  left: (x: number, y: number) => number = () => 1,
): MatchLook {
  const { width, height } = seen.plate.region
  const cells: Cells = [[], [], []]
  const r = e.region
  for (let y = r.y; y + CELL <= r.y + r.height; y += CELL) {
    for (let x = r.x; x + CELL <= r.x + r.width; x += CELL) {
      const c = cellColour(seen, e, x, y, width, least)
      if (c === undefined) continue
      const dimmed = left(x + CELL / 2, y + CELL / 2)
      for (const k of [0, 1, 2] as const) cells[k].push(c[k] / dimmed)
    }
  }
  return {
    frame: seen.frame,
    cells,
    region: regionWhere(width, height, (p) => (e.alpha[p] as number) >= least),
  }
}

function cellColour(
  seen: Seen,
  e: SeenElement,
  x0: number,
  y0: number,
  width: number,
  least: number,
): Rgb | undefined {
  const sum: [number, number, number] = [0, 0, 0]
  let alpha = 0
  for (let y = y0; y < y0 + CELL; y++) {
    for (let x = x0; x < x0 + CELL; x++) {
      const p = y * width + x
      const a = e.alpha[p] as number
      const keep = seen.keep[p] as number
      // Another element before or behind would be taken for this one.
      if (a < least || Math.abs(1 - keep - a) > 0.03) return undefined
      alpha += a
      for (const c of [0, 1, 2] as const) {
        sum[c] += (seen.rendered.data[4 * p + c] as number) - keep * (seen.plate.data[4 * p + c] as number)
      }
    }
  }
  return [sum[0] / alpha, sum[1] / alpha, sum[2] / alpha]
}

/** @param expected points of the compared place with the element's own air before it */
export function compareMatch(
  name: string,
  looks: readonly MatchLook[],
  expected: Points | undefined,
): Comparison {
  const kinds = ['blacks', 'middle', 'whites', 'cast'] as const
  const none = (why: string) => cannotTell(kinds, 'light', why)
  if (expected === undefined)
    return none('nothing says what it should look like: no place to compare with, nor the light of the place')
  const own = pointsOf(
    looks.map((l) => l.cells),
    CHECK_ENDS,
  )
  if (own === undefined) return none('the element nowhere covers enough of the plate by itself')
  const shown = looks.filter((l) => l.cells[0].length > 0)
  const verdicts: Verdict[] = []
  const add = (
    tell: string,
    off: number,
    limit: number,
    measured: Rgb,
    wanted: Rgb,
    sentence: string,
    remedy: string,
  ) => {
    if (Math.abs(off) <= limit) return
    verdicts.push({
      tell,
      link: 'light',
      frames: shown.map((l) => l.frame),
      region: (shown[0] as MatchLook).region,
      unit: 'linear',
      measured: mean(measured),
      expected: mean(wanted),
      limit,
      confidence: 0.7,
      sentence,
      cause: 'The element was lit and exposed otherwise than the plate.',
      remedy,
      contrast: Math.abs(off) / limit,
    })
  }
  for (const [tell, which] of [
    ['blacks', 'black'],
    ['middle', 'middle'],
    ['whites', 'white'],
  ] as const) {
    const off = mean(
      [0, 1, 2].map((c) => Math.log2(lift(own[which], c) / lift(expected[which], c))) as unknown as Rgb,
    )
    const word =
      which === 'black' ? (off < 0 ? 'too deep' : 'too light') : off < 0 ? 'too dark' : 'too bright'
    const sentence = `${name}: ${which} is ${stops(off)} ${word} against the compared place.`
    add(
      tell,
      off,
      LIMIT_STOPS,
      own[which],
      expected[which],
      sentence,
      `Fit again, or set light.plate${which === 'middle' ? 'Middle' : which === 'black' ? 'Black' : 'White'}.`,
    )
  }
  const cast = castOf(own.middle, expected.middle)
  add(
    'cast',
    cast.stops,
    LIMIT_CAST,
    own.middle,
    expected.middle,
    `${name} is ${stops(cast.stops)} too ${cast.towards}.`,
    'Fit again, or choose a place lit by the same light.',
  )
  const off = [0, 1, 2].map((c) => Math.log2(lift(own.middle, c) / lift(expected.middle, c)))
  return {
    verdicts,
    undecided: [],
    measured: { black: own.black, middle: own.middle, white: own.white, off },
  }
}

function lift(v: Rgb, c: number): number {
  return Math.max(v[c as 0 | 1 | 2], 0) + EPSILON
}

function mean(v: Rgb): number {
  return (v[0] + v[1] + v[2]) / 3
}

/** Largest departure of red or blue against green, in stops, named by what the eye sees. */
function castOf(own: Rgb, expected: Rgb): { stops: number; towards: string } {
  const against = (c: number) =>
    Math.log2(lift(own, c) / lift(expected, c)) - Math.log2(lift(own, 1) / lift(expected, 1))
  const red = against(0)
  const blue = against(2)
  if (Math.sign(red) === Math.sign(blue) && Math.min(Math.abs(red), Math.abs(blue)) > LIMIT_CAST) {
    return { stops: (Math.abs(red) + Math.abs(blue)) / 2, towards: red > 0 ? 'magenta' : 'green' }
  }
  return Math.abs(red) > Math.abs(blue)
    ? { stops: Math.abs(red), towards: red > 0 ? 'red' : 'cyan' }
    : { stops: Math.abs(blue), towards: blue > 0 ? 'blue' : 'yellow' }
}
