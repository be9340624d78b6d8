/**
 * Sensor limits: each channel ends at its own level, which makes the path by which a hot colour goes to white.
 *
 *   v = min(max(v, min(floor, own)), max(clip, own))
 *
 *   own  the plate's light at that pixel before anything was laid over it: what it held beyond a limit (a codec's ringing) stays
 *
 * Where the element laid over last asks for a share s of its sensor link, v goes that share of the way.
 *
 * After the grain: a full pixel has no noise. Source: [emva1288] (saturation of a linear sensor).
 */
import { type FloatImage, intersect, type Region, type Rgb } from '../../../core/index.js'

export interface Limits {
  /** Infinity ends nowhere. */
  readonly clip: Rgb
  /** −Infinity likewise. */
  readonly floor: Rgb
}

/** Shares of `length` pixels, all of them whole; undefined where every element asks for all of its sensor link. */
export function limitShares(
  layers: readonly { readonly sensorShare: number }[],
  length: number,
): Float32Array | undefined {
  return layers.some((l) => l.sensorShare < 1) ? new Float32Array(length).fill(1) : undefined
}

/** Notes a layer's share wherever its picture holds something. @param region that of the shares */
export function markShare(shares: Float32Array, region: Region, layer: FloatImage, share: number): void {
  const here = intersect(region, layer.region)
  const { data } = layer
  for (let y = here.y; y < here.y + here.height; y++) {
    let p = (y - region.y) * region.width + here.x - region.x
    let k = 4 * ((y - layer.region.y) * layer.region.width + here.x - layer.region.x)
    for (let x = 0; x < here.width; x++, p++, k += 4)
      if (data[k] !== 0 || data[k + 1] !== 0 || data[k + 2] !== 0 || data[k + 3] !== 0) shares[p] = share
  }
}

/**
 * In place on linear light, where it was touched.
 *
 * @param own the plate's light of the same region
 * @param shares of the way to the limits, a pixel; undefined goes all of it everywhere
 */
export function holdToLimits(
  { data }: FloatImage,
  own: FloatImage,
  touched: Uint8Array,
  { clip, floor }: Limits,
  shares?: Float32Array,
): void {
  for (let p = 0, i = 0; p < touched.length; p++, i += 4) {
    if (touched[p] === 0) continue
    const share = shares === undefined ? 1 : (shares[p] as number)
    if (share === 0) continue
    for (const c of [0, 1, 2] as const) {
      const before = own.data[i + c] as number
      const most = Math.max(clip[c], before)
      const least = Math.min(floor[c], before)
      const v = data[i + c] as number
      const end = v > most ? most : Math.max(v, least)
      if (end !== v) data[i + c] = share === 1 ? end : v + share * (end - v)
    }
  }
}
