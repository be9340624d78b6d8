/**
 * How chroma goes with luma about every chroma sample: where two colours meet, every mix of them lies on one line.
 *
 *   a = cov(Y, C) / (var(Y) + ε)      over the 5×5 chroma samples around, luma as a chroma sample sees it
 *
 *   ε  (0.008 of the code range)²: luma that changes by less than noise says nothing
 *
 * Source: guided filter [he2013]; window and ε are choices.
 */
import type { Plane } from '../../../core/index.js'

const AROUND = 2
const NOISE = 0.008

/** @param there luma where each chroma sample sits @param top highest code of the file @returns of each of the planes of chroma */
export function slopesOf(there: Float32Array, planes: readonly Plane[], top: number): Float32Array[] {
  const [{ width, height } = { width: 0, height: 0 }] = planes
  const count = width * height
  const y = boxMeans(Float64Array.from(there), width, height)
  const yy = boxMeans(products(there, there), width, height)
  const least = (NOISE * top) ** 2
  return planes.map(({ data }) => {
    const c = boxMeans(Float64Array.from(data), width, height)
    const yc = boxMeans(products(there, data), width, height)
    const out = new Float32Array(count)
    for (let p = 0; p < count; p++) {
      const [u, v] = [y[p]!, c[p]!]
      out[p] = (yc[p]! - u * v) / (Math.max(yy[p]! - u * u, 0) + least)
    }
    return out
  })
}

function products(a: ArrayLike<number>, b: ArrayLike<number>): Float64Array {
  const out = new Float64Array(a.length)
  for (let p = 0; p < out.length; p++) out[p] = (a[p] as number) * (b[p] as number)
  return out
}

/** Over 5×5, fewer at the border. */
function boxMeans(of: Float64Array, width: number, height: number): Float64Array {
  const rows = new Float64Array(of.length)
  for (let j = 0; j < height; j++)
    for (let i = 0; i < width; i++) {
      const [from, to] = [Math.max(i - AROUND, 0), Math.min(i + AROUND, width - 1)]
      let sum = 0
      for (let k = from; k <= to; k++) sum += of[j * width + k]!
      rows[j * width + i] = sum / (to - from + 1)
    }
  const out = new Float64Array(of.length)
  for (let j = 0; j < height; j++) {
    const [from, to] = [Math.max(j - AROUND, 0), Math.min(j + AROUND, height - 1)]
    for (let i = 0; i < width; i++) {
      let sum = 0
      for (let k = from; k <= to; k++) sum += rows[k * width + i]!
      out[j * width + i] = sum / (to - from + 1)
    }
  }
  return out
}
