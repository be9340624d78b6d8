/**
 * Chatter taken out of a matte along its motion: the mean of its own coverage and that of the frames before and after where they lie.
 *
 *   α′ = (α + Σ c · α(x + v)) / (1 + Σ c)      c = close · (1 − (D / 0.08)²)², 0 from D = 0.08 on
 *
 *   close   how well the motion fits there (`ways.ts`), from the four blocks around
 *   D       root mean square, over 5×5 px, of what the other frame's coverage is off the own
 *
 * Where no motion fits or the shape changes the frame's own matte stays. What is 0, or 1, on the frame and on one beside it stays so, and
 * so does what is 0, or 1, over 5×5 px of its own frame: only edges flicker, and a bare screen stays at exactly 0.
 *
 * Source: motion-compensated temporal filtering with overlapped blocks [orchard1994]; limits are choices.
 */
import type { FloatImage } from '../../../core/index.js'
import { grown } from '../key/masks.js'
import { BLOCK, type Ways } from './ways.js'

const FARTHEST = 0.08
const AROUND = 2

/** A frame beside the own one, and where this one's edges lie in it. */
export interface Beside {
  readonly image: FloatImage
  readonly ways: Ways
}

/** Coverage a pixel. @param blocks outside of which all stays as it is */
export function steadied(own: FloatImage, beside: readonly Beside[], blocks: Uint8Array): Float32Array {
  const { width, height } = own.region
  const alpha = Float32Array.from({ length: width * height }, (_, p) => own.data[4 * p + 3] as number)
  const seen = beside.map(({ image, ways }) => {
    const made = movedTo(alpha, image, ways, blocks, width, height)
    return { ...made, off: offOf(alpha, made.alpha, width, height) }
  })
  const columns = Math.ceil(width / BLOCK)
  const near = (test: (a: number) => boolean) =>
    grown(
      Uint8Array.from(alpha, (a) => (test(a) ? 1 : 0)),
      { width, height },
      AROUND,
    )
  const some = near((a) => a > 0)
  const notAll = near((a) => a < 1)
  return alpha.map((a, p) => {
    const [x, y] = [p % width, Math.floor(p / width)]
    if (some[p] === 0 || notAll[p] === 0) return a
    if (blocks[Math.floor(y / BLOCK) * columns + Math.floor(x / BLOCK)] === 0) return a
    let [sum, all, same] = [a, 1, false]
    for (const s of seen) {
      const d = (s.off[p] as number) / (FARTHEST * FARTHEST)
      const c = d >= 1 ? 0 : (s.close[p] as number) * (1 - d) ** 2
      const there = s.alpha[p] as number
      if (c > 0 && there === a && (a === 0 || a === 1)) same = true
      sum += c * there
      all += c
    }
    return same ? a : sum / all
  })
}

/** The other frame's coverage where this one's pixels lie in it. */
export function movedTo(
  alpha: Float32Array,
  { data }: FloatImage,
  ways: Ways,
  blocks: Uint8Array,
  width: number,
  height: number,
) {
  const made = { alpha: alpha.slice(), close: new Float32Array(alpha.length) }
  const { columns, rows } = ways
  for (let y = 0, p = 0; y < height; y++) {
    for (let x = 0; x < width; x++, p++) {
      if (blocks[Math.floor(y / BLOCK) * columns + Math.floor(x / BLOCK)] === 0) continue
      const [u, v] = [(x + 0.5) / BLOCK - 0.5, (y + 0.5) / BLOCK - 0.5]
      const [i, j] = [Math.floor(u), Math.floor(v)]
      let [sum, all] = [0, 0]
      for (let k = 0; k < 4; k++) {
        const [bi, bj] = [i + (k & 1), j + (k >> 1)]
        if (bi < 0 || bj < 0 || bi >= columns || bj >= rows) continue
        const b = bj * columns + bi
        const w = (1 - Math.abs(u - bi)) * (1 - Math.abs(v - bj)) * (ways.close[b] as number)
        if (w === 0) continue
        sum += w * sampled(data, width, height, x + (ways.dx[b] as number), y + (ways.dy[b] as number))
        all += w
      }
      if (all === 0) continue
      made.alpha[p] = sum / all
      made.close[p] = all
    }
  }
  return made
}

/** Coverage between pixels, held at the border. */
function sampled(data: Float32Array, width: number, height: number, x: number, y: number): number {
  const [u, v] = [Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1)]
  const [i, j] = [Math.floor(u), Math.floor(v)]
  const [a, b] = [u - i, v - j]
  const p = 4 * (j * width + i) + 3
  const [right, below] = [a > 0 ? 4 : 0, b > 0 ? 4 * width : 0]
  return (
    (1 - b) * ((1 - a) * data[p]! + a * data[p + right]!) +
    b * ((1 - a) * data[p + below]! + a * data[p + below + right]!)
  )
}

/** Mean square of the difference over 5×5 pixels, fewer at the border. */
function offOf(a: Float32Array, b: Float32Array, width: number, height: number): Float32Array {
  const square = a.map((v, p) => (v - (b[p] as number)) ** 2)
  const rows = lines(square, { length: width, step: 1 }, { count: height, step: width })
  return lines(rows, { length: height, step: width }, { count: width, step: 1 })
}

interface Along {
  readonly length: number
  readonly step: number
}

function lines(from: Float32Array, along: Along, across: { count: number; step: number }): Float32Array {
  const out = new Float32Array(from.length)
  for (let l = 0; l < across.count; l++) {
    for (let k = 0; k < along.length; k++) {
      const [first, last] = [Math.max(k - AROUND, 0), Math.min(k + AROUND, along.length - 1)]
      let sum = 0
      for (let i = first; i <= last; i++) sum += from[l * across.step + i * along.step]!
      out[l * across.step + k * along.step] = sum / (last - first + 1)
    }
  }
  return out
}
