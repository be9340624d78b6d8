/**
 * Signed radii in steps of depth: below 0 nearer than what is in focus, above 0 farther; so the smaller one is the nearer.
 *
 *   level = ± 64 ln(1 + |r| / 4), a whole number      r  radius of the disc of confusion  px
 *
 * A step is a 64th of 4 px + |r|: from 1/16 px in focus to 1.6 % of a wide blur. Eight levels are a band. Two radii are alike up to 12
 * levels apart (0.8 px + a fifth of the radius) and nothing alike from 28 on (2.2 px + half of it), in between by a share, so that a slope
 * is one thing and has no steps. The numbers are choices.
 */
import { type Aperture, outerRadius } from '../aperture/shape.js'
import { coveredRows } from '../aperture/stencil.js'

/** Nothing is there: it neither shows nor hides. */
export const ABSENT = -32768
/** Bands of a block that count as one. */
export const ALIKE = 2
/** Levels apart up to which two things are as far, and over how many more they part. */
export const ALIKE_LEVELS = 12
export const PARTING = 16
/** Levels of a band. */
export const BAND = 8
/** Light is spread in whole numbers of this, so that sums are exact. */
export const UNIT = 2 ** 32

const STEPS = 64
const LINEAR_PX = 4
/** Below this the opening lies inside its own pixel. */
const SHARP = 0.1

/** @param most px; radii beyond it count as it; NaN is {@link ABSENT} */
export function levelOf(radius: number, most: number): number {
  if (Number.isNaN(radius)) return ABSENT
  return Math.sign(radius) * Math.round(STEPS * Math.log1p(Math.min(Math.abs(radius), most) / LINEAR_PX))
}

export function radiusOf(level: number): number {
  return LINEAR_PX * Math.expm1(Math.abs(level) / STEPS)
}

export function bandOf(level: number): number {
  return Math.floor((level + BAND / 2) / BAND)
}

/** How much a band is another depth than a level that lies so many levels off its middle: 0 as far, 1 nearer or farther. */
export function otherDepth(levels: number): number {
  return Math.min(Math.max(Math.abs(levels) - ALIKE_LEVELS, 0), PARTING) / PARTING
}

/** How much what lies nearer by so many levels may still belong to the same slope: 1 until it is another depth, then falling off. */
export function sameSlope(levels: number): number {
  return 1 - otherDepth(Math.abs(levels) - PARTING)
}

/** How far a level spreads, in whole pixels. */
export function levelReach(level: number, a: Aperture): number {
  const radius = radiusOf(level)
  return radius < SHARP ? 0 : Math.ceil(radius * outerRadius(a) + 0.5)
}

const left: number[] = []

/** Share of the variance of a pixel's own noise that a disc of this radius leaves: the sum of the squares of its shares. Without correlation. */
export function noiseLeft(radius: number): number {
  const level = Math.abs(levelOf(radius, 256))
  left[level] ??= stepsOf(level, ROUND, [0, 0]).reduce((sum, { steps }) => sum + squares(steps), 0)
  return left[level]
}

const ROUND: Aperture = { blades: 0, rotationDeg: 0, squeeze: 1, corner: 0 }

function squares(steps: StepRow['steps']): number {
  let [share, sum] = [0, 0]
  steps.forEach(({ column, weight }, i) => {
    share += weight / UNIT
    sum += ((steps[i + 1]?.column ?? column) - column) * share ** 2
  })
  return sum
}

/** Where a row of the opening's shape rises and falls: its running sum over pixels is what each pixel gets, times {@link UNIT}. */
export interface StepRow {
  readonly row: number
  readonly steps: readonly { readonly column: number; readonly weight: number }[]
}

/** @param toward of the frame's middle from here, in half diagonals */
export function stepsOf(level: number, a: Aperture, toward: readonly [number, number]): StepRow[] {
  const radius = radiusOf(level)
  const rows = radius < SHARP ? [{ row: 0, first: 0, share: [1] }] : coveredRows(a, radius, toward)
  const unit = UNIT / rows.reduce((sum, { share }) => sum + share.reduce((s, v) => s + v, 0), 0)
  return rows.map(({ row, first, share }) => ({
    row,
    steps: [...share, 0].flatMap((v, i) => {
      const rise = v - (share[i - 1] ?? 0)
      return Math.abs(rise) > 1e-9 || i === share.length ? [{ column: first + i, weight: rise * unit }] : []
    }),
  }))
}
