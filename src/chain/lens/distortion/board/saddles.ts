/**
 * Corners of a chessboard: places where two dark and two light quarters meet.
 *
 *   s = I_xy² − I_xx·I_yy        above 0 at a saddle of the smoothed picture, and largest where four squares meet
 *   c = Σ v(φ)·e^(2iφ)           of the values v on a circle around it: a corner has no other harmonic of any size; the angle of c
 *                                says how its quarters lie, and is the opposite at the next corner of the board
 *
 * Source: [chen2005] (Hessian saddles); harmonics on a circle: a choice.
 */
import { type LightPicture, smoothed, valueAt } from '../picture.js'

/** A place that may be part of a regular pattern. */
export interface Node {
  readonly x: number
  readonly y: number
  /** How its quarters lie, a unit vector of twice the angle; nothing for things without quarters. */
  readonly turn?: readonly [number, number]
  /** The more the surer it is one. */
  readonly strength: number
}

/** px: finer structure than this is noise. */
const SIGMA = 1.5
/** A saddle is looked for as the strongest within so many px. */
const APART = 3
/** Of the strongest one's strength: below, it is texture. */
const LEAST = 0.01
const MOST = 3000
/** px of the circle that is looked along, and its samples. */
const CIRCLE = 4
const SAMPLES = 32
/** Share of the circle's variance that the second harmonic must hold. A choice: squares seen at 30° still have it. */
const PURE = 0.6

/** The strongest first. */
export function saddles(picture: LightPicture): Node[] {
  const soft = smoothed(picture, SIGMA)
  const { width, height, values: v } = soft
  const strength = new Float32Array(v.length)
  let most = 0
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      const o = y * width + x
      const at = (k: number) => v[o + k] as number
      const xx = at(1) - 2 * at(0) + at(-1)
      const yy = at(width) - 2 * at(0) + at(-width)
      const xy = (at(width + 1) - at(width - 1) - at(1 - width) + at(-1 - width)) / 4
      const s = xy * xy - xx * yy
      if (s <= 0) continue
      strength[o] = s
      if (s > most) most = s
    }
  }
  const found: Node[] = []
  const edge = CIRCLE + 1
  for (let y = edge; y < height - edge; y++) {
    for (let x = edge; x < width - edge; x++) {
      const o = y * width + x
      const s = strength[o] as number
      if (s < LEAST * most || s === 0 || !isPeak(strength, width, height, x, y)) continue
      const turn = quarters(soft, x + 0.5, y + 0.5)
      if (turn !== undefined) found.push({ x: x + 0.5, y: y + 0.5, turn, strength: s })
    }
  }
  return found.toSorted((a, b) => b.strength - a.strength || a.y - b.y || a.x - b.x).slice(0, MOST)
}

function isPeak(strength: Float32Array, width: number, height: number, x: number, y: number): boolean {
  const s = strength[y * width + x] as number
  for (let j = Math.max(y - APART, 0); j <= Math.min(y + APART, height - 1); j++) {
    for (let i = Math.max(x - APART, 0); i <= Math.min(x + APART, width - 1); i++) {
      const other = strength[j * width + i] as number
      // Of two alike the first counts.
      if (other > s || (other === s && (j < y || (j === y && i < x)))) return false
    }
  }
  return true
}

const AROUND = Array.from({ length: SAMPLES }, (_, k) => {
  const a = (2 * Math.PI * k) / SAMPLES
  return [Math.cos(a), Math.sin(a), Math.cos(2 * a), Math.sin(2 * a)] as const
})

function quarters(picture: LightPicture, x: number, y: number): [number, number] | undefined {
  let [sum, square, re, im] = [0, 0, 0, 0]
  for (const [c, s, c2, s2] of AROUND) {
    const v = valueAt(picture, x + CIRCLE * c, y + CIRCLE * s)
    sum += v
    square += v * v
    re += v * c2
    im += v * s2
  }
  const variance = square / SAMPLES - (sum / SAMPLES) ** 2
  const second = (2 * (re * re + im * im)) / SAMPLES ** 2
  if (!(second > PURE * variance) || variance === 0) return undefined
  const size = Math.sqrt(re * re + im * im)
  return [re / size, im / size]
}
