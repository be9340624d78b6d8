/** Light thrown on a surface in plain TypeScript, in single precision: what `simd.ts` must equal to the bit. */
import { intersect } from '../../core/index.js'
import { type Lamps, type Lit, lampRow, type Shares } from './lamps.js'

const { fround } = Math

/** See `apply.ts`. */
export function throwLight({ light, variance, touched }: Lit, { region, share }: Shares, lamps: Lamps): void {
  const r = intersect(region, light.region)
  const peak = Float32Array.from(lamps.peak)
  for (let y = r.y; y < r.y + r.height; y++) {
    const [nearest, across, flat, away, ...down] = lampRow(lamps, y)
    for (let x = r.x; x < r.x + r.width; x++) {
      const s = share[(y - region.y) * region.width + x - region.x]
      if (s === 0) continue
      const p = (y - light.region.y) * light.region.width + x - light.region.x
      touched[p] = 1
      const dx = fround(fround(x + 0.5 - nearest) * across)
      const near = fround(flat + fround(dx * dx))
      let sum = 0
      for (const d of down) {
        const far = fround(near + d)
        sum = fround(sum + fround(away / fround(far * fround(Math.sqrt(far)))))
      }
      const at = fround(s * sum)
      for (let c = 0; c < 3; c++) {
        const k = fround(1 + fround(at * peak[c]))
        light.data[4 * p + c] *= k
        variance[4 * p + c] = fround(variance[4 * p + c] * k) * k
      }
    }
  }
}
