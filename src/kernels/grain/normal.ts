/**
 * Standard normal numbers from 32-bit hashes: the inverse of the normal distribution as 4096 straight pieces of equal
 * probability, found by integrating its density. The outermost pieces end at ±3.98; the variance is then made 1.
 *
 * Source: inverse transform sampling, common practice.
 */
import { exp } from '../../core/index.js'

const PIECES = 4096
const STEP = 1 / 2048
const END = 5

/** Quantiles at i/4096, i = 0…4096; the ends at half a piece's probability. */
export const normalQuantiles: Float32Array = Float32Array.from(quantiles())

/** A normal number, in single precision, from a hash of 0 … 2³² − 1. */
export function normalOf(hash: number): number {
  const i = hash >>> 20
  const low = normalQuantiles[i]
  const rise = Math.fround(normalQuantiles[i + 1] - low)
  return Math.fround(low + Math.fround(rise * ((hash & 0xfffff) * 2 ** -20)))
}

function quantiles(): Float64Array {
  const q = new Float64Array(PIECES + 1)
  const density = (x: number) => exp(-0.5 * x * x) / Math.sqrt(2 * Math.PI)
  const half = PIECES / 2
  let p = 0
  let i = 1
  for (let x = 0; x < END && i <= half; x += STEP) {
    const next = p + (STEP * (density(x) + 4 * density(x + STEP / 2) + density(x + STEP))) / 6
    while (i <= half && next >= wanted(i)) {
      q[half + i] = x + (STEP * (wanted(i) - p)) / (next - p)
      i++
    }
    p = next
  }
  for (let k = 1; k <= half; k++) q[half - k] = -q[half + k]
  let variance = 0
  for (let k = 0; k < PIECES; k++) variance += (q[k] * q[k] + q[k] * q[k + 1] + q[k + 1] * q[k + 1]) / 3
  const scale = 1 / Math.sqrt(variance / PIECES)
  return q.map((v) => v * scale)
}

/** Probability above the middle at piece border i; the last border stands inside, where the tail is still finite. */
function wanted(i: number): number {
  return Math.min(i, PIECES / 2 - 1 / 7) / PIECES
}
