/** Curves on straight colour in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import type { FloatImage, Rgb } from '../../core/index.js'
import { tableAt } from '../curve/table.js'
import { LEAST_LUMINANCE, RICHEST, type ThreeTables } from './apply.js'

const { fround } = Math

/** See `apply.ts`. */
export function straightCurves({ data }: FloatImage, tables: ThreeTables, luminance?: Rgb): void {
  const weights = luminance === undefined ? undefined : Float32Array.from(luminance)
  for (let i = 0; i < data.length; i += 4) {
    const alpha = data[i + 3]
    if (!(alpha > 0)) continue
    const [r, g, b] = data.subarray(i, i + 3)
    const y =
      weights === undefined
        ? 0
        : fround(fround(fround(weights[0] * r) + fround(weights[1] * g)) + fround(weights[2] * b))
    for (const c of [0, 1, 2] as const) {
      if (weights === undefined) {
        data[i + c] = tableAt(tables[c], fround(data[i + c] / alpha)) * alpha
        continue
      }
      const light = tableAt(tables[c], fround(y / alpha))
      const own = y > fround(LEAST_LUMINANCE) ? held(fround(data[i + c] / y)) : 1
      data[i + c] = fround(light * own) * alpha
    }
  }
}

/** A ratio of colour to light; infinite light has none. */
function held(ratio: number): number {
  return ratio > 0 ? Math.min(ratio, RICHEST) : 0
}
