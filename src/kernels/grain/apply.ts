/**
 * A field of grain: unit variance, zero mean, correlated in space and between the channels.
 *
 *   white(x, y, c)  normal number from the counter hash of (seed, frame, x, y, c)
 *   n_c = fir_y,c ∗ fir_x,c ∗ white_c / √(energy of both)
 *   (R, G, B)ᵀ = L · (n_0, n_1, n_2)ᵀ,  L Lᵀ = [1 rg rb; rg 1 gb; rb gb 1]
 *
 * Arithmetic is in single precision. A pixel depends on its place in the frame alone, never on the region. Where the channels have unlike taps, G and
 * B take on a share of the spatial correlation of the channels that they are mixed with. Correlations that no three
 * channels can have together are held to the nearest that Cholesky's method allows.
 *
 * Source: common practice (filtered white noise); Cholesky factor [golub2013 §4.2].
 */
import { columnHash, type Region, type Rgb } from '../../core/index.js'
import { duringScratch, keepBytes, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type GrainTaps, mixFactor, outwards } from './factor.js'
import { normalQuantiles } from './normal.js'

/** A field of grain. */
export interface Field {
  readonly seed: number
  readonly frame: number
  readonly taps: readonly [GrainTaps, GrainTaps, GrainTaps]
  /** Correlation of RG, RB, GB. */
  readonly mix: Rgb
}

/** Address of row `y` of the region, counted from its top, four values a pixel; it holds until the next row is asked for. */
export type GrainRows = (y: number) => number

/** Four values a pixel of the region: R, G, B and 0. */
export function grainField(field: Field, region: Region): Float32Array {
  const line = 4 * region.width
  const out = new Float32Array(line * region.height)
  duringScratch(() => {
    const row = grainRows(field, region)
    for (let y = 0; y < region.height; y++) {
      out.set(new Float32Array(memory.buffer, row(y), line), line * y)
    }
  })
  return out
}

/** The same row by row, fastest from the top down; its memory is the caller's scratch. */
export function grainRows({ seed, frame, taps, mix }: Field, region: Region): GrainRows {
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
  const factor = words(mixFactor(mix))
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
  // Addresses of the rows around one whose slot is known, a channel; the same ones come again and again.
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
