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

/** Four values a pixel of the region: R, G, B and 0. `mix`: correlation of RG, RB, GB. */
export function grainField(
  seed: number,
  frame: number,
  region: Region,
  taps: readonly [GrainTaps, GrainTaps, GrainTaps],
  mix: Rgb,
): Float32Array {
  const line = 4 * region.width
  const out = new Float32Array(line * region.height)
  grainRows(seed, frame, region, taps, mix, (row, y) => {
    out.set(new Float32Array(memory.buffer, row, line), line * y)
  })
  return out
}

/** The same row by row: `visit` gets the address of row `y` of the region, which is gone when it returns. */
export function grainRows(
  seed: number,
  frame: number,
  region: Region,
  taps: readonly [GrainTaps, GrainTaps, GrainTaps],
  mix: Rgb,
  visit: (row: number, y: number) => void,
): void {
  const { width, height } = region
  const padX = Math.max(...taps.map((t) => t.x.length >> 1))
  const padY = Math.max(...taps.map((t) => t.y.length >> 1))
  duringScratch(() => {
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
    const lists = taps.map(() => takeBytes(4 * length))
    const lines = [line(), line(), line()] as const
    const factor = words(mixFactor(mix))
    const row = takeBytes(16 * fours(width))
    const quantiles = quantileTable()
    for (let y = -padY; y < height + padY; y++) {
      simd.whiteRow(columns, region.y + y, wide, quantiles, ...white)
      for (const [c, { x }] of taps.entries()) {
        const to = rings[c][(y + padY) % length]
        simd.filterAcross(white[c as 0 | 1 | 2] + 4 * padX, firX[c], x.length >> 1, width, to)
      }
      const at = y - padY
      if (at < 0) continue
      for (const [c, { y: down }] of taps.entries()) {
        const half = down.length >> 1
        const rows = Array.from({ length: 2 * half + 1 }, (_, k) => rings[c][(at + padY - half + k) % length])
        new Uint32Array(memory.buffer, lists[c], rows.length).set(rows)
        simd.filterDown(lists[c], firY[c], half, width, lines[c as 0 | 1 | 2])
      }
      simd.mixRow(...lines, factor, width, row)
      visit(row, at)
    }
  })
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
