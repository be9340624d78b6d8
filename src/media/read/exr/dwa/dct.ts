/**
 * Blocks of 8 × 8 of DWA: from zigzag coefficients to values, from luma and colour difference to R, G, B, from the
 * perceptual scale to linear light.
 *
 *   x = Cᵀ·X·C,  C[k][n] = ½·cos((2n + 1)·k·π/16), C[0][n] = 1/√8
 *   light of a value v: |v|^2.2 up to 1, e^(2.2·(|v| − 1)) above, with the sign of v
 *
 * Source: [openexr-dwa].
 */

import { toHalves } from '../../../../kernels/index.js'
import { halfToFloat } from '../../../half.js'

const basis = new Float64Array(64)
for (let k = 0; k < 8; k++) {
  for (let n = 0; n < 8; n++)
    basis[8 * k + n] = k === 0 ? Math.sqrt(1 / 8) : 0.5 * Math.cos(((2 * n + 1) * k * Math.PI) / 16)
}

/** Place of the i-th coefficient: diagonals of the block, up and down by turns. */
const zigzag = new Uint8Array(64)
for (let sum = 0, i = 0; sum < 15; sum++) {
  for (let k = Math.max(0, sum - 7); k <= Math.min(7, sum); k++)
    zigzag[i++] = sum % 2 === 0 ? (sum - k) * 8 + k : k * 8 + sum - k
}

const rows = new Float64Array(64)

/** Fills `out` with the block whose coefficients are the halves `from`; zeros from `used` on. */
export function inverseDct(from: Uint16Array, used: number, out: Float32Array): void {
  if (used <= 1) {
    out.fill(halfToFloat(from[0] as number) / 8)
    return
  }
  rows.fill(0)
  for (let i = 0; i < used; i++) {
    const place = zigzag[i] as number
    const v = halfToFloat(from[i] as number)
    if (v === 0) continue
    const [row, k] = [place & 56, 8 * (place & 7)]
    for (let n = 0; n < 8; n++) rows[row + n] = (rows[row + n] as number) + v * (basis[k + n] as number)
  }
  for (let n = 0; n < 8; n++) {
    for (let m = 0; m < 8; m++) {
      let sum = 0
      for (let k = 0; k < 8; k++) sum += (basis[8 * k + m] as number) * (rows[8 * k + n] as number)
      out[8 * m + n] = sum
    }
  }
}

/** Luma, blue and red difference of BT.709 to R, G, B, in place. */
export function toRgb(y: Float32Array, cb: Float32Array, cr: Float32Array): void {
  for (let i = 0; i < y.length; i++) {
    const [l, b, r] = [y[i] as number, cb[i] as number, cr[i] as number]
    y[i] = l + 1.5747 * r
    cb[i] = l - 0.1873 * b - 0.4682 * r
    cr[i] = l + 1.8556 * b
  }
}

let table: Uint16Array | undefined

/** Half to half: the perceptual scale to linear light. NaN and infinity become 0, as the format says. */
export function linearTable(): Uint16Array {
  if (table !== undefined) return table
  const light = new Float32Array(65536)
  for (let h = 0; h < 65536; h++) {
    const v = halfToFloat(h)
    const size = Math.abs(v)
    if (Number.isFinite(v)) light[h] = Math.sign(v) * (size <= 1 ? size ** 2.2 : Math.exp(2.2 * (size - 1)))
  }
  table = new Uint16Array(65536)
  toHalves(light, 0, 65536, table, { notANumber: 0, beyondHalf: 0 })
  return table
}
