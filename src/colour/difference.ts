/**
 * CIEDE2000 colour difference of linear light, viewed as on a display whose white is diffuse white (1, 1, 1):
 * linear RGB → XYZ (D65) → CIELAB → ΔE00 with kL = kC = kH = 1.
 *
 * One pair goes through culori; pictures through the same formula in plain loops, tested against culori to 1e-6.
 *
 * Source: [sharma2005], [cie015] for CIELAB.
 */
import { differenceCiede2000 } from 'culori/fn'
import type { Primaries, Rgb } from '../core/index.js'
import { ciede2000 } from './ciede2000.js'
import { transform3 } from './matrix3.js'
import { conversion } from './primaries.js'

const pair = differenceCiede2000()
const WHITE_X = 0.3127 / 0.329
const WHITE_Z = (1 - 0.3127 - 0.329) / 0.329
const EPSILON = 216 / 24389
const KAPPA = 24389 / 27

/** ΔE00 of two linear colours. */
export function deltaE2000(a: Rgb, b: Rgb, primaries: Primaries): number {
  const m = conversion(primaries, 'xyz')
  const colour = (rgb: Rgb) => {
    const [x, y, z] = transform3(m, rgb)
    return { mode: 'lab65' as const, ...labOf(x, y, z) }
  }
  return pair(colour(a), colour(b))
}

/**
 * ΔE00 of two pictures of linear RGBA (alpha is not looked at), in raster order. With `mask` (one byte a pixel) the
 * answer holds only the pixels where it is not 0, in the same order.
 */
export function deltaE2000Image(
  a: Float32Array,
  b: Float32Array,
  primaries: Primaries,
  mask?: Uint8Array,
): Float64Array {
  const m = conversion(primaries, 'xyz')
  const pixels = a.length >> 2
  const out = new Float64Array(pixels)
  const labA = new Float64Array(3)
  const labB = new Float64Array(3)
  let n = 0
  for (let i = 0; i < pixels; i++) {
    if (mask !== undefined && mask[i] === 0) continue
    lab(a, 4 * i, m, labA)
    lab(b, 4 * i, m, labB)
    out[n++] = ciede2000(labA, labB)
  }
  return n === pixels ? out : out.slice(0, n)
}

function f(t: number): number {
  return t > EPSILON ? Math.cbrt(t) : (KAPPA * t + 16) / 116
}

function labOf(x: number, y: number, z: number) {
  const fx = f(x / WHITE_X)
  const fy = f(y)
  return { l: 116 * fy - 16, a: 500 * (fx - fy), b: 200 * (fy - f(z / WHITE_Z)) }
}

function lab(data: Float32Array, at: number, m: ReturnType<typeof conversion>, out: Float64Array): void {
  const r = data[at] as number
  const g = data[at + 1] as number
  const b = data[at + 2] as number
  const fx = f((m[0] * r + m[1] * g + m[2] * b) / WHITE_X)
  const fy = f(m[3] * r + m[4] * g + m[5] * b)
  out[0] = 116 * fy - 16
  out[1] = 500 * (fx - fy)
  out[2] = 200 * (fy - f((m[6] * r + m[7] * g + m[8] * b) / WHITE_Z))
}
