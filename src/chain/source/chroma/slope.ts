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

/** @param there luma where each chroma sample sits @param top highest code of the file */
export function slopesOf(there: Float32Array, chroma: Plane, top: number): Float32Array {
  const { width, height, data } = chroma
  const count = width * height
  const mean = (of: (p: number) => number) =>
    boxMeans(
      Float64Array.from({ length: count }, (_, p) => of(p)),
      width,
      height,
    )
  const y = mean((p) => there[p] as number)
  const c = mean((p) => data[p] as number)
  const yy = mean((p) => (there[p] as number) ** 2)
  const yc = mean((p) => (there[p] as number) * (data[p] as number))
  const least = (NOISE * top) ** 2
  const out = new Float32Array(count)
  for (let p = 0; p < count; p++) {
    const [u, v] = [y[p] as number, c[p] as number]
    out[p] = ((yc[p] as number) - u * v) / (Math.max((yy[p] as number) - u * u, 0) + least)
  }
  return out
}

/** Over 5×5, fewer at the border. */
function boxMeans(of: Float64Array, width: number, height: number): Float64Array {
  return lineMeans(lineMeans(of, width, height, 1, width), height, width, width, 1)
}

function lineMeans(
  of: Float64Array,
  length: number,
  lines: number,
  step: number,
  apart: number,
): Float64Array {
  const out = new Float64Array(of.length)
  for (let l = 0; l < lines; l++) {
    for (let k = 0; k < length; k++) {
      const [from, to] = [Math.max(k - AROUND, 0), Math.min(k + AROUND, length - 1)]
      let sum = 0
      for (let i = from; i <= to; i++) sum += of[l * apart + i * step] as number
      out[l * apart + k * step] = sum / (to - from + 1)
    }
  }
  return out
}
