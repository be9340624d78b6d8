/**
 * Places where an edge runs straight: the steepest of each small square of the window, with the direction of its fall.
 *
 * Slopes are central differences of a picture smoothed by 1 2 1 both ways. The direction is that of the tensor Σ g gᵀ around; its
 * coherence (λ₁ − λ₂) / (λ₁ + λ₂) is 1 where all slopes are alike. Source: [bigun1987].
 */
import type { Window } from '../spectrum/polar.js'

export interface Place {
  readonly x: number
  readonly y: number
  /** Unit vector up the slope. */
  readonly nx: number
  readonly ny: number
  readonly slope: number
}

/** Whether an edge is wanted at a pixel. */
export type Here = (x: number, y: number) => boolean

/** Side of a square that gives one place, px. */
const SQUARE = 4
const AROUND = 3
const COHERENT = 0.85

/** @param border px that an edge keeps from the window's own; @returns steepest first */
export function edgePlaces(window: Window, border: number, most: number, here?: Here): Place[] {
  const { width, height } = window
  const { gx, gy } = slopes(window)
  const found: Place[] = []
  for (let top = border; top < height - border; top += SQUARE)
    for (let left = border; left < width - border; left += SQUARE) {
      let best = -1
      let steepest = 0
      for (let y = top; y < Math.min(top + SQUARE, height - border); y++)
        for (let x = left; x < Math.min(left + SQUARE, width - border); x++) {
          const p = y * width + x
          const g = gx[p]! ** 2 + gy[p]! ** 2
          if (g > steepest && here?.(x, y) !== false) [steepest, best] = [g, p]
        }
      if (best >= 0) found.push(...placeAt(best, width, gx, gy))
    }
  return found.sort((a, b) => b.slope - a.slope || a.y - b.y || a.x - b.x).slice(0, most)
}

/** The same one by one, each so far from all before it that it is another edge, or another part of one. @param apart px, along both sides */
export function* edgesApart(
  window: Window,
  border: number,
  most: number,
  apart: number,
  here?: Here,
): Generator<Place, void, undefined> {
  const taken: Place[] = []
  for (const place of edgePlaces(window, border, most, here)) {
    if (taken.some((t) => Math.abs(t.x - place.x) < apart && Math.abs(t.y - place.y) < apart)) continue
    taken.push(place)
    yield place
  }
}

function slopes({ width, height, values }: Window): { gx: Float64Array; gy: Float64Array } {
  const gx = new Float64Array(width * height)
  const gy = new Float64Array(width * height)
  const v = (p: number) => values[p] as number
  for (let y = 1; y < height - 1; y++)
    for (let x = 1; x < width - 1; x++) {
      const p = y * width + x
      const column = (q: number) => v(q - width) + 2 * v(q) + v(q + width)
      const row = (q: number) => v(q - 1) + 2 * v(q) + v(q + 1)
      gx[p] = (column(p + 1) - column(p - 1)) / 8
      gy[p] = (row(p + width) - row(p - width)) / 8
    }
  return { gx, gy }
}

function placeAt(p: number, width: number, gx: Float64Array, gy: Float64Array): Place[] {
  let [xx, xy, yy] = [0, 0, 0]
  for (let j = -AROUND; j <= AROUND; j++)
    for (let i = -AROUND; i <= AROUND; i++) {
      const q = p + j * width + i
      const [a, b] = [gx[q] ?? 0, gy[q] ?? 0]
      xx += a * a
      xy += a * b
      yy += b * b
    }
  const apart = Math.hypot(xx - yy, 2 * xy)
  if (!(apart >= COHERENT * (xx + yy))) return []
  const turn = 0.5 * Math.atan2(2 * xy, xx - yy)
  const slope = gx[p]! * Math.cos(turn) + gy[p]! * Math.sin(turn)
  // At a crest the slopes around go both ways, and the steepest pixel's own says nothing of them.
  if (slope === 0) return []
  const up = Math.sign(slope)
  return [
    {
      ...{ x: p % width, y: Math.floor(p / width) },
      ...{ nx: up * Math.cos(turn), ny: up * Math.sin(turn), slope: Math.abs(slope) },
    },
  ]
}
