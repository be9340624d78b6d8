/**
 * What was done to a plate beside the camera's turning, told from its steps (steps.ts):
 *
 *   readout  rows are exposed one after the other: a(n) = ρ/H · (t(n+1) − t(n−1)) / 2       ρ  share of a frame's time
 *   shift    what of t no turning explains: d = t − f²·q                                    rms beyond its spread, px
 *   rows     what is left of bands of rows beyond all that, px
 *
 * A readout follows the camera's speed and is linear down the picture; a knock within a frame's time is not, and neither is what a
 * stabiliser does row by row: those two cannot be told apart by motion alone. A shift is what a stabiliser does that crops, and what
 * a camera does that is itself carried along before things that are near; where these lie at several distances, their parallax
 * says so.
 */
import { median } from '../../../../core/index.js'
import type { StepParts } from './steps.js'

export interface Amount {
  readonly value: number
  readonly spread: number
}

export interface WarpsFound {
  /** Share of a frame's time over which the rows are read, below 0 from the bottom up; nothing where it cannot be told. */
  readonly readout: Amount | undefined
  /** What of the shift no turning explains, root mean square along an axis, px a frame. */
  readonly shiftPx: Amount | undefined
  /** All of the shift, root mean square along an axis, px a frame. */
  readonly stepPx: number
  /** What is left row by row, root mean square along an axis, px a frame. */
  readonly rowsPx: Amount | undefined
  /** Errors are so many times the points' spreads: beyond 1 things lie at several distances, or move. */
  readonly left: number
  readonly said: readonly string[]
}

/** Steps that are needed. */
const LEAST = 12
/** Spreads beyond which something is there, and px below which nobody sees it. */
const SURE = 4
const SEEN = 0.1
/** Least share of the steps that a shift must be: a focal length wrong by 5 % makes a tenth of them look like one. A choice. */
const SHARE = 0.1
/** A shutter cannot read longer than a frame; some room for error. */
const LONGEST = 1.2
/** Spreads' root mean square beyond which the points themselves go different ways. */
const SEVERAL = 2

/** @param focalPx of the document; told from the steps where it is not known and the camera turns enough */
export function warpsIn(steps: readonly StepParts[], height: number, focalPx?: number): WarpsFound {
  const left = Math.sqrt(median(steps.map((s) => s.left)))
  if (steps.length < LEAST) {
    const why = `Whether it was stabilised cannot be told: ${steps.length} steps from frame to frame show enough of the picture, ${LEAST} are needed.`
    const none = { readout: undefined, shiftPx: undefined, rowsPx: undefined }
    return { ...none, stepPx: 0, left: left || 0, said: [why] }
  }
  // Points that stray raise all variances alike.
  const times = Math.max(1, left * left)
  const readout = readoutOf(steps, height, times)
  const shiftPx = shiftOf(steps, times, focalPx)
  const rowsPx = rowsOf(steps, times)
  const squares = steps.reduce((sum, { shift: [x, y] }) => sum + x * x + y * y, 0)
  const found = { readout, shiftPx, rowsPx, stepPx: Math.sqrt(squares / steps.length / 2), left }
  return { ...found, said: wordsOf(found) }
}

function readoutOf(steps: readonly StepParts[], height: number, times: number): Amount | undefined {
  const byFrame = new Map(steps.map((s) => [s.frame, s]))
  let [top, bottom, n] = [0, 0, 0]
  const pairs: [number, number, number][] = []
  for (const s of steps) {
    const [before, after] = [byFrame.get(s.frame - 1), byFrame.get(s.frame + 1)]
    if (before === undefined || after === undefined) continue
    for (const k of [0, 1] as const) {
      const rise = (after.shift[k] - before.shift[k]) / 2 / height
      const w = 1 / (times * s.variance.rows[k])
      top += w * rise * s.rows[k]
      bottom += w * rise * rise
      pairs.push([rise, s.rows[k], w])
      n++
    }
  }
  if (bottom === 0 || n < LEAST) return undefined
  const value = top / bottom
  const rest = pairs.reduce((sum, [x, y, w]) => sum + w * (y - value * x) ** 2, 0) / (n - 1)
  return { value, spread: Math.sqrt(Math.max(1, rest) / bottom) }
}

function shiftOf(steps: readonly StepParts[], times: number, focalPx?: number): Amount | undefined {
  const square = focalPx === undefined ? focalSquare(steps, times) : focalPx * focalPx
  if (square === undefined) return undefined
  return excessOf(
    steps.flatMap((s) =>
      ([0, 1] as const).map((k) => ({
        off: s.shift[k] - square * s.perspective[k],
        variance: times * (s.variance.shift[k] + square * square * s.variance.perspective[k]),
      })),
    ),
  )
}

/** f² by which shifts follow perspectives best; nothing where the camera turns too little for that to be told. */
function focalSquare(steps: readonly StepParts[], times: number): number | undefined {
  let [top, bottom, noise] = [0, 0, 0]
  for (const s of steps) {
    for (const k of [0, 1] as const) {
      top += s.shift[k] * s.perspective[k]
      bottom += s.perspective[k] * s.perspective[k]
      noise += times * s.variance.perspective[k]
    }
  }
  // What noise adds to the squares would make f too short.
  const clean = bottom - noise
  return clean > noise && top > 0 ? top / clean : undefined
}

function rowsOf(steps: readonly StepParts[], times: number): Amount | undefined {
  return excessOf(
    steps.flatMap((s) =>
      s.bands.flatMap((b) =>
        b === undefined ? [] : b.off.map((off) => ({ off, variance: times * b.variance })),
      ),
    ),
  )
}

/** Root of the mean square beyond what variances explain, and its spread. */
function excessOf(list: readonly { off: number; variance: number }[]): Amount | undefined {
  if (list.length < LEAST) return undefined
  const n = list.length
  const own = list.reduce((s, l) => s + l.variance, 0) / n
  const mean = list.reduce((s, l) => s + l.off * l.off, 0) / n
  const error = Math.sqrt((2 * list.reduce((s, l) => s + l.variance * l.variance, 0)) / n / n)
  const value = Math.sqrt(Math.max(0, mean - own))
  // The spread of a root: that of the square over twice the root, and never more than the root of the square's own.
  return { value, spread: Math.min(Math.sqrt(error), error / Math.max(2 * value, 1e-12)) }
}

const there = (a: Amount | undefined): a is Amount =>
  a !== undefined && a.value > SURE * a.spread && a.value > SEEN

function wordsOf(found: Omit<WarpsFound, 'said'>): string[] {
  const { readout, shiftPx: shift, rowsPx: rows, stepPx, left } = found
  const said: string[] = []
  const two = (v: number) => v.toPrecision(2)
  if (readout !== undefined) {
    const size = Math.abs(readout.value)
    if (size > SURE * readout.spread && size > SEEN && size < LONGEST)
      said.push(
        `Rows are read one after the other over ${two(size)} ± ${two(readout.spread)} of a frame's time${readout.value < 0 ? ', from the bottom up' : ''}: upright things lean when the camera pans. That is the sensor, not a stabiliser.`,
      )
  }
  if (shift === undefined)
    said.push(
      'Whether a stabiliser shifts the picture cannot be told: the focal length is not known, and the camera turns too little to show it.',
    )
  else if (there(shift) && shift.value > SHARE * stepPx)
    said.push(
      left > SEVERAL
        ? `The picture shifts by ${two(shift.value)} px a frame beyond the camera's turning, and things go different ways: the camera is carried along before near things; whether a stabiliser shifts it too cannot be told.`
        : `The picture shifts by ${two(shift.value)} ± ${two(shift.spread)} px a frame as no turning about the lens's middle does: a stabiliser that crops, or a camera that is carried along before one flat distance. The lens's middle is then not the picture's; lens distortion and a turning camera cannot be trusted.`,
    )
  if (there(rows))
    said.push(
      left > SEVERAL
        ? `Rows go ${two(rows.value)} px different ways, but so do the points: whether that is a warp cannot be told.`
        : `Rows go ${two(rows.value)} ± ${two(rows.spread)} px different ways from frame to frame, not evenly down the picture: knocks while the sensor is read, or a stabiliser that bends it; motion alone does not tell which.`,
    )
  return said
}
