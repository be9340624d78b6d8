/**
 * A layer laid over the plate's light, with the books that grain needs:
 *
 *   C = (1 − α)·C + S     keep = keep·(1 − α)     σ² = (1 − α)²·σ² + α²·σ²own, σ²own whole where α = 0
 *
 *   S, α  premultiplied light and coverage of the layer     keep  how much of the pixel is still the plate's
 *   σ²    variance of all grain in the pixel                 σ²own  variance of the layer's own grain, where α is 1
 *
 * A pixel of the layer that is all 0 touches nothing. Alpha of the plate stays. Arithmetic is in single precision.
 *
 * Where a layer has a coverage of its own for each channel (red and blue lie elsewhere than green), α is the channel's in C and
 * σ², and σ²own is whole only where the channel has light without coverage; in `keep` it is green's, which is the layer's alpha:
 * `keep` weighs the plate's own samples, and of those luma, which is mostly green, shows most.
 *
 * Source: [porter1984]; variances of independent noises add.
 */
import { type FloatImage, intersect, type Rgb } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'

/** The plate under its layers; one value a pixel of the region, but four of `variance` (R, G, B and one unused). */
export interface Ground {
  readonly light: FloatImage
  readonly variance: Float32Array
  readonly keep: Float32Array
  readonly touched: Uint8Array
}

/**
 * Changes the ground in place, where both regions meet; `own` is σ²own a channel. `coverage` holds α of red, green, blue and green
 * once more over the layer's region.
 */
export function cover(ground: Ground, layer: FloatImage, own: Rgb, coverage?: FloatImage): void {
  if (coverage === undefined) coverBy(ground, layer, own, 0)
  else at(coverage.data, false, (alphas) => coverBy(ground, layer, own, alphas))
}

/** `alphas`: address of the coverage, 0 where the layer's alpha is that of every channel. */
function coverBy(
  { light, variance, keep, touched }: Ground,
  layer: FloatImage,
  own: Rgb,
  alphas: number,
): void {
  const r = intersect(layer.region, light.region)
  at(layer.data, false, (src) => {
    at(light.data, true, (dst) => {
      at(variance, true, (v) => {
        at(keep, true, (k) => {
          at(touched, true, (t) => {
            duringScratch(() => {
              const grain = words(Float32Array.of(...own, 0))
              for (let y = r.y; y < r.y + r.height; y++) {
                const i = (y - layer.region.y) * layer.region.width + r.x - layer.region.x
                const p = (y - light.region.y) * light.region.width + r.x - light.region.x
                const by = alphas === 0 ? 0 : alphas + 16 * i
                simd.coverRow(dst + 16 * p, v + 16 * p, k + 4 * p, t + p, src + 16 * i, by, r.width, grain)
              }
            })
          })
        })
      })
    })
  })
}
