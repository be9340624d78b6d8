/**
 * A field of grain: unit variance, zero mean, correlated in space and between the channels.
 *
 *   white(x, y, a)  normal number from the counter hash of (seed, frame, x, y, a)
 *   n_a = fir_y,a ∗ fir_x,a ∗ white_a / √(energy of both)      a  axis: 0, 1, 2
 *   (R, G, B)ᵀ = M · (n_0, n_1, n_2)ᵀ
 *
 * Each axis has a spectrum of its own: luma one, two of colour others. The coarse part (`coarse.ts`) is mixed likewise.
 * Arithmetic is in single precision. A pixel depends on its place in the frame alone, never on the region.
 *
 * Source: common practice (filtered white noise).
 */
import { columnHash, type Region } from '../../core/index.js'
import { duringScratch, keepBytes, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { BEFORE, COARSE_SEED, type Coarse, lineBefore, splineAt, TAPS } from './coarse.js'
import { type GrainTaps, type Mixing, outwards } from './factor.js'
import { normalQuantiles } from './normal.js'

/** A field of grain. */
export interface Field {
  readonly seed: number
  readonly frame: number
  /** Of the three axes. */
  readonly taps: readonly [GrainTaps, GrainTaps, GrainTaps]
  readonly mixing: Mixing
}

/** Address of row `y` of the region, counted from its top, four values a pixel; it holds until the next row is asked for. */
export type GrainRows = (y: number) => number

/** Four values a pixel of the region: R, G, B and 0. */
export function grainField(field: Field, region: Region): Float32Array {
  return allRows(() => grainRows(field, region), region)
}

/** The same of a coarse part. */
export function coarseField(
  field: Pick<Field, 'seed' | 'frame'>,
  coarse: Coarse,
  region: Region,
): Float32Array {
  return allRows(() => coarseRows(field, coarse, region), region)
}

function allRows(rows: () => GrainRows, { width, height }: Region): Float32Array {
  const line = 4 * width
  const out = new Float32Array(line * height)
  duringScratch(() => {
    const row = rows()
    for (let y = 0; y < height; y++) {
      out.set(new Float32Array(memory.buffer, row(y), line), line * y)
    }
  })
  return out
}

/** The same row by row, fastest from the top down; its memory is the caller's scratch. */
export function grainRows({ seed, frame, taps, mixing }: Field, region: Region): GrainRows {
  const { width } = region
  const padX = Math.max(...taps.map((t) => t.x.length >> 1))
  const padY = Math.max(...taps.map((t) => t.y.length >> 1))
  const wide = width + 2 * padX
  const columns = words(
    Int32Array.from({ length: fours(wide) }, (_, i) => columnHash(seed, frame, region.x - padX + i)),
  )
  const firX = taps.map((t) => words(outwards(t.x)))
  const firY = taps.map((t) => words(outwards(t.y)))
  const line = () => takeBytes(4 * (fours(wide) + 4))
  const white = [line(), line(), line()] as const
  const length = 2 * padY + 1
  const rings = taps.map(() => Array.from({ length }, line))
  const lines = [line(), line(), line()] as const
  const factor = words(Float32Array.from(mixing))
  const out = takeBytes(16 * fours(width))
  const quantiles = quantileTable()
  const slot = (y: number) => ((y % length) + length) % length
  const across = (y: number) => {
    simd.whiteRow(columns, region.y + y, wide, quantiles, ...white)
    for (const [c, { x }] of taps.entries()) {
      simd.filterAcross(white[c as 0 | 1 | 2] + 4 * padX, firX[c], x.length >> 1, width, rings[c][slot(y)])
    }
  }
  let made = Number.NEGATIVE_INFINITY
  // Addresses of the rows around one whose slot is known, an axis; the same ones come again and again.
  const around = taps.map(({ y: down }, c) => {
    const half = down.length >> 1
    return Array.from({ length }, (_, at) =>
      words(Int32Array.from({ length: 2 * half + 1 }, (_, k) => rings[c][slot(at - half + k)])),
    )
  })
  return (y) => {
    const goesOn = y >= made - padY && y - padY <= made + 1
    for (made = goesOn ? made : y - padY - 1; made < y + padY; ) across(++made)
    for (const [c, { y: down }] of taps.entries()) {
      simd.filterDown(around[c][slot(y)], firY[c], down.length >> 1, width, lines[c as 0 | 1 | 2])
    }
    simd.mixRow(...lines, factor, width, out)
    return out
  }
}

/** The coarse part's rows likewise. */
export function coarseRows(
  { seed, frame }: Pick<Field, 'seed' | 'frame'>,
  { size, mixing }: Coarse,
  region: Region,
): GrainRows {
  const { width } = region
  const first = lineBefore(region.x, size) - BEFORE
  const wide = lineBefore(region.x + width - 1, size) - BEFORE + TAPS - first
  const columns = words(
    Int32Array.from({ length: fours(wide) }, (_, i) => columnHash(seed ^ COARSE_SEED, frame, first + i)),
  )
  const at = Int32Array.from({ length: fours(width) }, (_, i) =>
    i < width ? 4 * (lineBefore(region.x + i, size) - BEFORE - first) : 0,
  )
  const weights = new Float32Array(TAPS * fours(width))
  for (let i = 0; i < width; i++) weights.set(splineAt(region.x + i, size), TAPS * i)
  const [places, spline] = [words(at), words(weights)]
  const white = [0, 1, 2].map(() => takeBytes(4 * fours(wide))) as [number, number, number]
  const rings = [0, 1, 2].map(() => Array.from({ length: TAPS }, () => takeBytes(4 * fours(width))))
  const lines = [0, 1, 2].map(() => takeBytes(4 * fours(width))) as [number, number, number]
  const factor = words(Float32Array.from(mixing))
  const out = takeBytes(16 * fours(width))
  const quantiles = quantileTable()
  const slot = (j: number) => ((j % TAPS) + TAPS) % TAPS
  const made = Array.from({ length: TAPS }, () => Number.NaN)
  const across = (j: number) => {
    if (made[slot(j)] === j) return
    simd.whiteRow(columns, j, wide, quantiles, ...white)
    for (const [c, row] of white.entries()) simd.weighAcross(row, places, spline, width, rings[c][slot(j)])
    made[slot(j)] = j
  }
  const down = Array.from({ length: size }, (_, phase) => words(splineAt(phase, size)))
  return (y) => {
    const line = lineBefore(region.y + y, size)
    for (let k = 0; k < TAPS; k++) across(line - BEFORE + k)
    const phase = down[region.y + y - size * line] as number
    for (const [c, ring] of rings.entries()) {
      const [a, b, d, e] = [0, 1, 2, 3].map((k) => ring[slot(line - BEFORE + k)]) as [
        number,
        number,
        number,
        number,
      ]
      simd.weighDown(a, b, d, e, phase, width, lines[c as 0 | 1 | 2])
    }
    simd.mixRow(...lines, factor, width, out)
    return out
  }
}

/** Rows are worked on four numbers at a time. */
function fours(count: number): number {
  return (count + 3) & ~3
}

let kept: number | undefined

function quantileTable(): number {
  if (kept !== undefined) return kept
  kept = keepBytes(normalQuantiles.byteLength)
  new Float32Array(memory.buffer, kept, normalQuantiles.length).set(normalQuantiles)
  return kept
}
