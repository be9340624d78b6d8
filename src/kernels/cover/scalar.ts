/** Covering in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { type FloatImage, intersect, type Rgb } from '../../core/index.js'
import type { Ground } from './apply.js'

const { fround } = Math

/** See `apply.ts`. */
export function cover(
  { light, variance, keep, touched }: Ground,
  layer: FloatImage,
  own: Rgb,
  coverage?: FloatImage,
): void {
  const r = intersect(layer.region, light.region)
  const grain = Float32Array.from(own)
  const { data } = layer
  for (let y = r.y; y < r.y + r.height; y++) {
    let i = 4 * ((y - layer.region.y) * layer.region.width + r.x - layer.region.x)
    let p = (y - light.region.y) * light.region.width + r.x - light.region.x
    for (let x = 0; x < r.width; x++, i += 4, p++) {
      const a = data[i + 3]
      const empty = a === 0 && data[i] === 0 && data[i + 1] === 0 && data[i + 2] === 0
      if (coverage !== undefined) {
        const alphas = coverage.data.subarray(i, i + 4)
        if (empty && alphas.every((v) => v === 0)) continue
        touched[p] = 1
        keep[p] *= fround(1 - alphas[3])
        for (let c = 0; c < 3; c++) {
          const o = 4 * p + c
          const left = fround(1 - alphas[c])
          const share = alphas[c] > 0 ? fround(alphas[c] * alphas[c]) : data[i + c] === 0 ? 0 : 1
          light.data[o] = fround(light.data[o] * left) + data[i + c]
          variance[o] = fround(fround(variance[o] * left) * left) + fround(grain[c] * share)
        }
        continue
      }
      if (empty) continue
      touched[p] = 1
      const left = fround(1 - a)
      keep[p] *= left
      const share = a > 0 ? fround(a * a) : 1
      for (let c = 0; c < 3; c++) {
        const o = 4 * p + c
        light.data[o] = fround(light.data[o] * left) + data[i + c]
        variance[o] = fround(fround(variance[o] * left) * left) + fround(grain[c] * share)
      }
    }
  }
}
