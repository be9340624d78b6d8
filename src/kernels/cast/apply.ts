/**
 * Light of three lamps thrown on a surface of the picture, in place: what was there rises by a factor.
 *
 *   k = 1 + share · peak · (1/3) Σ a / r³      r² = a² + dx² + dy²      C = k·C      σ² = k²·σ²
 *
 *   a       metres from lamp to surface      dx, dy  metres along the surface from the point nearest to each lamp
 *   share   how much of the surface the pixel shows; where it is 0 nothing is touched
 *
 * Alpha stays. Single precision. Source: the inverse square and cosine laws.
 */
import { intersect } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { type Lamps, type Lit, lampRow, type Shares } from './lamps.js'

export type { Lamps, Lit, Shares } from './lamps.js'

export function throwLight({ light, variance, touched }: Lit, { region, share }: Shares, lamps: Lamps): void {
  const r = intersect(region, light.region)
  const first = (r.y - region.y) * region.width
  const rows = share.subarray(first, first + r.height * region.width)
  at(light.data, true, (l) =>
    at(variance, true, (v) =>
      at(touched, true, (t) =>
        at(rows, false, (s) =>
          duringScratch(() => {
            const row = takeBytes(28)
            const peak = words(Float32Array.of(...lamps.peak, 0))
            for (let y = r.y; y < r.y + r.height; y++) {
              new Float32Array(memory.buffer, row, 7).set(lampRow(lamps, y))
              const p = (y - light.region.y) * light.region.width + r.x - light.region.x
              const q = (y - r.y) * region.width + r.x - region.x
              simd.castRow(l + 16 * p, v + 16 * p, t + p, s + 4 * q, r.width, r.x, row, peak)
            }
          }),
        ),
      ),
    ),
  )
}
