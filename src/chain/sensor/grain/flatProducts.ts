import type { FloatImage } from '../../../core/index.js'
import type { FlatBlock, OneFrame } from './oneFrame.js'
import type { Rounding } from './overTime.js'
import { groupOf } from './places.js'
import { Tally } from './tally.js'

/** Side of the blocks that products are taken in where there are enough, px. */
const SIZE = 16
const LEAST = 24

/** Products of neighbours and channels in the flat blocks of single frames, each less its own fitted plane. */
export function flatProducts({ flat, size }: OneFrame, rounding: Rounding): Tally {
  const whole = size === SIZE ? flat : fours(flat, size)
  const [blocks, side] = whole.length >= LEAST ? [whole, SIZE] : [flat, size]
  const tally = new Tally()
  for (const b of blocks) {
    const noise = [0, 1, 2].map((c) => residual(b, c, side)) as [
      Float64Array<ArrayBuffer>,
      Float64Array<ArrayBuffer>,
      Float64Array<ArrayBuffer>,
    ]
    const variance = noise.map((n) => n.reduce((sum, v) => sum + v * v, 0) / n.length)
    if (!variance.every((v) => v > 0)) continue
    noise.forEach((n, c) => {
      const by = 1 / Math.sqrt(variance[c] as number)
      for (let i = 0; i < n.length; i++) n[i] = by * (n[i] as number)
    })
    const less = b.level.map((l, c) => Math.min(0.9, rounding.variance(c, l) / (variance[c] as number)))
    tally.addProducts(noise, side, less, rounding.correlation, groupOf(b.x, b.y))
  }
  return tally
}

/** Blocks of twice the side whose four parts are all flat: a fitted plane takes less of the noise in them. */
function fours(flat: readonly FlatBlock[], size: number): FlatBlock[] {
  const known = new Map<FloatImage, Set<string>>()
  for (const b of flat) {
    const own = known.get(b.image) ?? new Set()
    known.set(b.image, own.add(`${b.x},${b.y}`))
  }
  return flat.filter(
    ({ image, x, y }) =>
      x % SIZE === 0 &&
      y % SIZE === 0 &&
      [
        [size, 0],
        [0, size],
        [size, size],
      ].every(([u = 0, v = 0]) => known.get(image)?.has(`${x + u},${y + v}`)),
  )
}

/** A channel of a block less its least-squares plane. */
function residual(
  { image: { region, data }, x: x0, y: y0 }: FlatBlock,
  c: number,
  size: number,
): Float64Array {
  const out = new Float64Array(size * size)
  const mid = (size - 1) / 2
  let [sum, sx, sy] = [0, 0, 0]
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const v = data[4 * ((y0 + y - region.y) * region.width + x0 + x - region.x) + c] as number
      out[y * size + x] = v
      sum += v
      sx += v * (x - mid)
      sy += v * (y - mid)
    }
  }
  const n = size * size
  const norm = (n * (size * size - 1)) / 12
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const i = y * size + x
      out[i] = (out[i] as number) - sum / n - (sx / norm) * (x - mid) - (sy / norm) * (y - mid)
    }
  }
  return out
}
