/**
 * Lateral aberration off a plate's own edges: how much larger red and blue are drawn than green.
 *
 * In cells with strong edges across the radius red and blue are laid beside green (`shift.ts`), first on a soft picture, which tells
 * shifts of several pixels, then on sharper ones with what is known taken for granted; all of them make one factor (`solve.ts`).
 *
 *   spread² = (1.3 · that of the solutions without each sector)² + (0.02 px at the corner)²     choices, which the round trips hold to
 *
 * A fringe that a codec could not afford is not seen: the factor is then too near 1. Source: the model's; coarse to fine: [lucas1981].
 */
import type { FloatImage, Reading } from '../../../core/index.js'
import { tellingCells } from './cells.js'
import { type Halved, opponents, type Planes, softened } from './planes.js'
import { type Cell, type Field, type Shift, shiftIn } from './shift.js'
import { type Solution, solve } from './solve.js'

/** Softness of the pictures that are compared, px, and how often each. */
const STAGES = [
  [4, 2],
  [2.5, 2],
  [1.5, 3],
] as const
const SHARPEST = 1.5
const LEAST_EDGES = 40
/** Edges that agree, by weight. */
const LEAST_AGREED = 20
/** px at the corner */
const WIDEST = 0.25
const SECTOR_SHARE = 1.3
const MODEL_PX = 0.02

export interface AberrationSample {
  readonly frame: number
  /** A whole frame in code values: of a curve near how an eye sees, or the file's own. */
  readonly code: FloatImage
}

export interface AberrationMeasure {
  readonly factors: readonly [number, number]
  /** One standard deviation of each. */
  readonly spreads: readonly [number, number]
}

/** @param samples frames of one size */
export function measureAberration(
  samples: readonly AberrationSample[],
  halved: Halved,
): Reading<AberrationMeasure> {
  const [first] = samples
  if (first === undefined) return { cannotTell: 'the plate could not be sampled' }
  const { width, height } = first.code.region
  const pictures = samples.map((s) => opponents(s.code, halved))
  const [red, blue] = solutions(pictures, width, height)
  for (const [name, s] of [
    ['red', red],
    ['blue', blue],
  ] as const)
    if (typeof s === 'string') return { cannotTell: `${name}: ${s}` }
  const [r, b] = [red as Solution, blue as Solution]
  return {
    value: { factors: [1 + r.larger, 1 + b.larger], spreads: [r.spread, b.spread] },
    evidence: {
      kind: 'measured',
      frames: samples.map((s) => s.frame),
      method: `place of red and blue against green on ${Math.round(Math.min(r.edges, b.edges))} edges that agree`,
      spread: Math.max(r.spread, b.spread),
      confidence: halved.x ? 0.7 : 0.85,
    },
  }
}

/** Of red and of blue; a word says why there is none. */
function solutions(
  pictures: readonly FloatImage[],
  width: number,
  height: number,
): readonly (Solution | string)[] {
  const sharp = pictures.map((p) => softened(p, SHARPEST))
  const cells = tellingCells(sharp)
  const found: (Solution | string)[] = ['', '']
  for (const [sigma, times] of STAGES) {
    const planes = sigma === SHARPEST ? sharp : pictures.map((p) => softened(p, sigma))
    for (let time = 0; time < times; time++) {
      for (const c of [0, 1] as const) {
        const known = found[c]
        if (known === undefined || (typeof known === 'string' && known !== '')) continue
        const from = typeof known === 'string' ? undefined : known
        found[c] = solution(cells, planes, c, from, [width, height])
      }
    }
  }
  const corner = Math.hypot(width, height) / 2
  return found.map((s) => (typeof s === 'string' ? s : judged(s, corner)))
}

function solution(
  cells: readonly Cell[],
  planes: readonly Planes[],
  colour: 0 | 1,
  known: Solution | undefined,
  [width, height]: readonly [number, number],
): Solution | string {
  const { larger = 0, x: tx = 0, y: ty = 0 } = known ?? {}
  const field: Field = (x, y) => [larger * (x - width / 2) + tx, larger * (y - height / 2) + ty]
  const shifts: Shift[] = []
  for (const cell of cells) {
    const p = planes[cell.picture] as Planes
    const shift = shiftIn(p, colour === 0 ? p.red : p.blue, cell, field)
    if (shift !== undefined) shifts.push(shift)
  }
  const few = `${shifts.length} edges away from the middle tell it, ${LEAST_EDGES} are needed`
  return shifts.length < LEAST_EDGES ? few : (solve(shifts, width, height) ?? few)
}

function judged(found: Solution, corner: number): Solution | string {
  if (found.edges < LEAST_AGREED)
    return `${Math.round(found.edges)} edges away from the middle agree, ${LEAST_AGREED} are needed`
  const spread = Math.hypot(SECTOR_SHARE * found.spread, MODEL_PX / corner)
  if (!(spread * corner <= WIDEST))
    return `what it draws at the corner may lie ${(2 * spread * corner).toFixed(1)} px to either side of where it seems to`
  return { ...found, spread }
}
