/** Bending in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { emptyImage, type FloatImage, intersect, type Region } from '../../core/index.js'
import type { Warped } from './apply.js'
import { valueAt } from './between.js'
import type { WarpMap } from './map.js'

const { fround } = Math

/** See `apply.ts`. */
export function warp(src: FloatImage, map: WarpMap, region: Region): Warped {
  const image = emptyImage(region)
  const coverage = map.coloured ? emptyImage(region) : undefined
  const r = intersect(region, map.frame)
  const filter = new Filter(src)
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      const o = 4 * ((y - region.y) * region.width + x - region.x)
      const [sx, sy] = stretchAt(map, x, y)
      for (let c = 0; c < (coverage === undefined ? 1 : 3); c++) {
        filter.look(
          x,
          valueAt(map, map.shift, 2 * c, x, y),
          y,
          valueAt(map, map.shift, 2 * c + 1, x, y),
          sx,
          sy,
        )
        if (coverage === undefined) {
          for (let k = 0; k < 3; k++) image.data[o + k] = filter.light(k)
          image.data[o + 3] = filter.alpha()
          continue
        }
        image.data[o + c] = filter.light(c)
        coverage.data[o + c] = filter.alpha()
        if (c === 1) image.data[o + 3] = coverage.data[o + 3] = coverage.data[o + 1]
      }
    }
  }
  return { image, coverage }
}

function stretchAt({ stretch, columns, rows, step, frame }: WarpMap, x: number, y: number): [number, number] {
  if (stretch === undefined) return [1, 1]
  const i = Math.min(Math.floor((x - frame.x) / step), Math.max(columns - 2, 0))
  const j = Math.min(Math.floor((y - frame.y) / step), Math.max(rows - 2, 0))
  const cell = 2 * (j * Math.max(columns - 1, 1) + i)
  return [stretch[cell], stretch[cell + 1]]
}

/** The filter around one position of a source. */
class Filter {
  readonly #src: FloatImage
  #across: Float32Array = new Float32Array(4)
  #down: Float32Array = new Float32Array(4)
  /** First source pixel under it. */
  #x = 0
  #y = 0

  constructor(src: FloatImage) {
    this.#src = src
  }

  look(x: number, dx: number, y: number, dy: number, sx: number, sy: number): void {
    const plain = sx === 1 && sy === 1
    this.#across = plain ? cubic(dx) : stretched(dx, sx)
    this.#down = plain ? cubic(dy) : stretched(dy, sy)
    this.#x = x + Math.floor(dx) - (plain ? 1 : Math.floor(2 * sx)) - this.#src.region.x
    this.#y = y + Math.floor(dy) - (plain ? 1 : Math.floor(2 * sy)) - this.#src.region.y
  }

  /** Undershoot is raised to the lowest value under the filter, or 0. */
  light(channel: number): number {
    const sum = this.#sum(channel)
    return sum < 0 ? Math.max(sum, this.#least(channel)) : sum
  }

  /** −0 of the sum stays. */
  alpha(): number {
    const sum = this.#sum(3)
    return sum < 0 ? 0 : Math.min(sum, 1)
  }

  #sum(channel: number): number {
    if (this.#across.length > 4) return this.#sumOfMany(channel)
    let sum = 0
    for (let j = 0; j < this.#down.length; j++) {
      let row = 0
      for (let i = 0; i < this.#across.length; i++) {
        const v = fround(this.#across[i] * this.#at(i, j, channel))
        row = i === 0 ? v : fround(row + v)
      }
      const v = fround(this.#down[j] * row)
      sum = j === 0 ? v : fround(sum + v)
    }
    return sum
  }

  /** Down first, then across in four sums: what lies four columns apart together. */
  #sumOfMany(channel: number): number {
    const sums = new Float32Array(4)
    for (let i = 0; i < this.#across.length; i++) {
      let column = 0
      for (let j = 0; j < this.#down.length; j++) {
        column = fround(column + fround(this.#down[j] * this.#at(i, j, channel)))
      }
      sums[i % 4] += fround(this.#across[i] * column)
    }
    return fround(fround(sums[0] + sums[1]) + fround(sums[2] + sums[3]))
  }

  #least(channel: number): number {
    let least = 0
    for (let j = 0; j < this.#down.length; j++) {
      for (let i = 0; i < this.#across.length; i++) least = Math.min(least, this.#at(i, j, channel))
    }
    return least
  }

  #at(i: number, j: number, channel: number): number {
    const { region, data } = this.#src
    const x = this.#x + i
    const y = this.#y + j
    if (x < 0 || y < 0 || x >= region.width || y >= region.height) return 0
    return data[4 * (region.width * y + x) + channel]
  }
}

/** Catmull-Rom weights of four pixels, the position between the second and the third. */
function cubic(d: number): Float32Array {
  const t = fround(d - Math.floor(d))
  const s = fround(1 - t)
  const h = fround(fround(-0.5 * t) * s)
  const w0 = fround(h * s)
  const w3 = fround(h * t)
  const w1 = fround(fround(s - fround(w0 + w0)) + w3)
  const w2 = fround(fround(t - fround(w3 + w3)) + w0)
  return Float32Array.of(w0, w1, w2, w3)
}

/** The same cubic `stretch` times as wide, weights summing to 1, filled with 0 to a multiple of four. */
function stretched(d: number, stretch: number): Float32Array {
  const t = fround(d - Math.floor(d))
  const low = Math.floor(2 * stretch)
  const narrow = fround(1 / stretch)
  const out = new Float32Array(4 * Math.ceil((2 * low + 2) / 4))
  let sum = 0
  for (let k = 0; k < 2 * low + 2; k++) {
    const x = fround(Math.abs(fround(k - low - t)) * narrow)
    const near = fround(fround(fround(fround(fround(1.5 * x) - 2.5) * x) * x) + 1)
    const far = fround(fround(fround(fround(fround(fround(-0.5 * x) + 2.5) * x) - 4) * x) + 2)
    out[k] = x < 1 ? near : x < 2 ? far : 0
    sum = fround(sum + out[k])
  }
  const norm = fround(1 / sum)
  for (let k = 0; k < out.length; k++) out[k] = fround(out[k] * norm)
  return out
}
