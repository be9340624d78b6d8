/**
 * Chroma as soft as the plate's: the camera's own filter and its file's halved samples, less what the delivery's samples will soften.
 *
 *   σ² = σ²plate − σ²element − σ²delivery        C′ = C − H_σ(C)
 *
 * Halved samples soften by 4/3 px² along their axis: a triangle of two px to either side each way, when they are made and when they are
 * looked at. Source: variances of triangles, by hand; the triangle is this program's own (`kernels/planes/taps.ts`).
 */
import type { PixelLayout } from '../../../core/index.js'
import { type Both, detailOf } from '../detail.js'

const HALVED = 4 / 3
/** Softer by less is not seen, px. */
const LEAST = 0.3
const SURE = 2

/**
 * σ in px; undefined where nothing is to be softened.
 *
 * @param own px of the plate; undefined where nobody knows: it may be as soft already @param doubt standard deviation of the
 * difference of their squares, px²; what is not surely missing is not added @param share of it that is done, 0 to 1
 */
export function chromaFor(
  plate: number,
  own: number | undefined,
  { subX, subY }: Pick<PixelLayout, 'subX' | 'subY'>,
  doubt: number,
  share: number,
): number | undefined {
  if (own === undefined) return undefined
  const delivered = (HALVED * ((subX > 0 ? 1 : 0) + (subY > 0 ? 1 : 0))) / 2
  const missing = plate ** 2 - own ** 2 - delivered
  const sigma = missing > SURE * doubt ? share * Math.sqrt(missing) : 0
  return sigma >= LEAST ? sigma : undefined
}

/** In place on one chroma plane with the layer. */
export function softenChroma(chroma: Both, kept: Float32Array, sigma: number): void {
  const detail = detailOf(chroma, kept, sigma)
  const { after } = chroma
  for (let p = 0; p < after.length; p++) after[p] = (after[p] as number) - (detail[p] as number)
}
