/**
 * Which rows a flash lights where they are read one after the other, and how much of it each gets.
 *
 *   row y of frame k is open from kT + yτ to kT + yτ + tₑ      share = overlap with [t₀, t₀ + d] / d
 *   lit: (t₀ − kT − tₑ)/τ < y < (t₀ − kT + d)/τ      whole: (t₀ − kT + d − tₑ)/τ ≤ y ≤ (t₀ − kT)/τ
 *
 *   t₀, d  the flash's beginning and length  s     tₑ  time open  s     τ  time from row to row  s     T  time a frame  s
 *
 * Counted from the moment at which the first row of frame 0 opens. Rows between lit and whole rise evenly, d/τ of them on each side;
 * a flash longer than tₑ is whole on no row, and the brightest get tₑ/d. What one frame cuts off is the neighbour's, or falls while
 * the shutter is closed. Source: overlap of intervals; [liang2008] for the readout.
 */
import { Problem } from '../../../core/index.js'
import type { Readout } from './model.js'

export interface Flash {
  /** Seconds; may lie before frame 0. */
  readonly at: number
  /** Seconds, above 0. */
  readonly length: number
}

export interface Timing extends Readout {
  /** Seconds that a row is open, and from frame to frame. */
  readonly open: number
  readonly frame: number
}

/** Share of the flash that falls into a row of a frame, 0 to 1. */
export function flashShare(
  { seconds, rows, open, frame }: Timing,
  flash: Flash,
  k: number,
  y: number,
): number {
  const opens = k * frame + (seconds * y) / rows
  const lit = Math.min(opens + open, flash.at + flash.length) - Math.max(opens, flash.at)
  return Math.min(Math.max(lit, 0) / flash.length, 1)
}

/** First and last row, both lit. */
export type Rows = readonly [first: number, last: number]

export interface FlashBand {
  readonly frame: number
  readonly lit: Rows
  /** Undefined where no row gets all of it. */
  readonly whole: Rows | undefined
  /** Of the brightest row, and the mean over all rows. */
  readonly peak: number
  readonly mean: number
}

/** Less than this share of a flash is none, and as much less than all is all: rounding. */
const ROUNDING = 1e-9

/**
 * The frames that a flash shows on.
 *
 * @throws Problem `shutter.flash` when a time is not above 0
 */
export function flashBands(timing: Timing, flash: Flash): FlashBand[] {
  const { seconds, rows, open, frame } = timing
  for (const [what, v] of Object.entries({ length: flash.length, open, frame, rows }))
    if (!(v > 0)) bad(what, v)
  const first = Math.floor((flash.at - open - seconds) / frame)
  const last = Math.ceil((flash.at + flash.length) / frame)
  return Array.from({ length: last - first + 1 }, (_, i) => first + i).flatMap((k) => {
    const shares = Float64Array.from({ length: rows }, (_, y) => flashShare(timing, flash, k, y))
    const lit = between(shares, (s) => s > ROUNDING)
    if (lit === undefined) return []
    const whole = between(shares, (s) => s >= 1 - ROUNDING)
    const [peak, mean] = [Math.max(...shares), shares.reduce((a, b) => a + b) / rows]
    return [{ frame: k, lit, whole, peak, mean }]
  })
}

function between(shares: Float64Array, is: (share: number) => boolean): Rows | undefined {
  const first = shares.findIndex(is)
  return first < 0 ? undefined : [first, shares.findLastIndex(is)]
}

function bad(what: string, received: number): never {
  throw new Problem({
    code: 'shutter.flash',
    what: 'A flash and the rows that it lights need times above 0',
    where: what,
    expected: 'more than 0',
    received: String(received),
  })
}
