/**
 * How each frame follows from those before it. Luma is averaged down to at most 320 columns; D is the mean absolute difference
 * of two such pictures, in shares of the code range.
 *
 *   one = D(f, f−1)     two = D(f, f−2)
 *   blend: w that makes f ≈ (1 − w)·(f−1) + w·(f+1) best, and what remains of the picture's change then
 *   comb = share of pixels that differ from the lines above and below in the same sense while those two agree
 *   fine = mean |v(x−1) − 2 v(x) + v(x+1)| along the lines, of the full picture: what a mixture of two pictures loses
 *   fields: see `fields.ts`
 */
import type { NativeFrame, Plane } from '../../core/index.js'
import { type FieldStep, fieldStep } from './fields.js'

export interface Step {
  readonly frame: number
  /** Every sample is that of the frame before. */
  readonly same: boolean
  /** Undefined at the start of a run of frames. */
  readonly one: number | undefined
  readonly two: number | undefined
  /** D(f, f−1) after both were averaged over 4×4 cells: white noise falls to a quarter, motion stays. */
  readonly coarse: number
  /** Of the frame before this one: told when its follower is known. */
  readonly blendOfLast: { readonly weight: number; readonly rest: number } | undefined
  readonly comb: number
  readonly fine: number
  /** Undefined at the start of a run. */
  readonly fields: FieldStep | undefined
  /** Mean luma, share of the code range, and its spread. */
  readonly mean: number
  readonly spread: number
  /** Mean light of the small picture. */
  readonly light: number
}

const WIDEST = 320

export class Motion {
  readonly steps: Step[] = []
  readonly #decode: (code: number) => number
  #last: { frame: number; native: NativeFrame; plane: Plane; small: Float32Array } | undefined
  #before: { frame: number; small: Float32Array } | undefined

  /** @param decode code value (nominal 0 to 1) to light, for the brightness of a frame */
  constructor(decode: (code: number) => number) {
    this.#decode = decode
  }

  add(frame: number, native: NativeFrame): void {
    const plane = native.planes[native.layout.family === 'yuv' ? 0 : 1] as Plane
    const span = native.layout.float ? 1 : 2 ** native.layout.bits - 1
    const { small, columns } = shrink(plane, span)
    const last = this.#last?.frame === frame - 1 ? this.#last : undefined
    const before = last !== undefined && this.#before?.frame === frame - 2 ? this.#before : undefined
    const { mean, spread, light } = levels(small, this.#decode)
    this.steps.push({
      frame,
      same: last !== undefined && equal(last.native, native),
      one: last === undefined ? undefined : difference(small, last.small),
      two: before === undefined ? undefined : difference(small, before.small),
      coarse: last === undefined ? 0 : coarseDifference(small, last.small, columns),
      blendOfLast:
        last === undefined || before === undefined ? undefined : blend(before.small, last.small, small),
      comb: comb(plane, span),
      fine: fine(plane, span),
      fields: last === undefined ? undefined : fieldStep(last.plane, plane, span),
      mean,
      spread,
      light,
    })
    this.#before = last === undefined ? undefined : { frame: last.frame, small: last.small }
    this.#last = { frame, native, plane, small }
  }
}

function shrink(p: Plane, span: number): { small: Float32Array; columns: number } {
  const k = Math.max(1, Math.ceil(p.width / WIDEST))
  const [w, h] = [Math.max(1, Math.floor(p.width / k)), Math.max(1, Math.floor(p.height / k))]
  const out = new Float32Array(w * h)
  const { data } = p
  // Few lines of a large cell say as much as all.
  const skip = k > 3 ? 2 : 1
  let rows = 0
  for (let v = 0; v < k; v += skip) rows++
  const scale = 1 / (rows * k * span)
  for (let y = 0; y < h; y++) {
    for (let v = 0; v < k; v += skip) {
      const row = (y * k + v) * p.width
      for (let x = 0; x < w; x++) {
        let sum = 0
        for (let u = row + x * k; u < row + (x + 1) * k; u++) sum += Math.max(data[u] as number, 0)
        out[y * w + x] = (out[y * w + x] as number) + sum * scale
      }
    }
  }
  return { small: out, columns: w }
}

function equal(a: NativeFrame, b: NativeFrame): boolean {
  return a.planes.every((p, i) => {
    const other = b.planes[i]?.data
    if (other === undefined) return false
    for (let k = 0; k < p.data.length; k++) if (p.data[k] !== other[k]) return false
    return true
  })
}

function difference(a: Float32Array, b: Float32Array): number {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += Math.abs((a[i] as number) - (b[i] as number))
  return sum / a.length
}

function coarseDifference(a: Float32Array, b: Float32Array, columns: number): number {
  const rows = a.length / columns
  let [sum, cells] = [0, 0]
  for (let y = 0; y + 4 <= rows; y += 4) {
    for (let x = 0; x + 4 <= columns; x += 4) {
      let d = 0
      for (let v = y; v < y + 4; v++)
        for (let i = v * columns + x; i < v * columns + x + 4; i++) d += (a[i] as number) - (b[i] as number)
      sum += Math.abs(d) / 16
      cells++
    }
  }
  return cells === 0 ? 0 : sum / cells
}

function blend(a: Float32Array, m: Float32Array, b: Float32Array): { weight: number; rest: number } {
  let [xx, xy] = [0, 0]
  for (let i = 0; i < a.length; i++) {
    const x = (b[i] as number) - (a[i] as number)
    xx += x * x
    xy += x * ((m[i] as number) - (a[i] as number))
  }
  if (xx === 0) return { weight: 0, rest: 1 }
  const weight = xy / xx
  let left = 0
  for (let i = 0; i < a.length; i++) {
    const e = (m[i] as number) - (a[i] as number) - weight * ((b[i] as number) - (a[i] as number))
    left += e * e
  }
  return { weight, rest: left / xx }
}

function comb(p: Plane, span: number): number {
  const limit = 0.02 * span
  const { width: w, data: d } = p
  let hit = 0
  let looked = 0
  const along = w > 1000 ? 4 : 2
  for (let y = 1; y + 1 < p.height; y += 2) {
    for (let x = 0; x < w; x += along) {
      const i = y * w + x
      const [up, own, low] = [d[i - w], d[i], d[i + w]] as [number, number, number]
      looked++
      if (Math.abs(up - low) > limit) continue
      const [a, b] = [own - up, own - low]
      if ((a > limit && b > limit) || (a < -limit && b < -limit)) hit++
    }
  }
  return looked === 0 ? 0 : hit / looked
}

function fine({ width: w, height: h, data: d }: Plane, span: number): number {
  const step = Math.max(1, Math.floor(h / 180))
  let [sum, n] = [0, 0]
  for (let y = 0; y < h; y += step) {
    for (let i = y * w + 1; i < y * w + w - 1; i++)
      sum += Math.abs((d[i - 1] as number) - 2 * (d[i] as number) + (d[i + 1] as number))
    n += w - 2
  }
  return n <= 0 ? 0 : sum / n / span
}

function levels(small: Float32Array, decode: (code: number) => number) {
  let [sum, squares, light] = [0, 0, 0]
  for (let i = 0; i < small.length; i++) {
    const v = small[i] as number
    sum += v
    squares += v * v
    if (i % 4 === 0) light += decode(v)
  }
  const n = small.length
  const mean = sum / n
  return { mean, spread: Math.sqrt(Math.max(squares / n - mean * mean, 0)), light: light / Math.ceil(n / 4) }
}
