/** A pulse of light as the rows of one frame see it: each its own share (`flash.ts`). */
import type { FloatImage } from '../../../core/index.js'

/** Share of the pulse that falls into each row of the plate, 0 to 1, from the first on. */
export type RowShares = Float64Array

/** The picture with each row times its share; rows beyond the plate take the nearest one's. The given one stays. */
export function byRows({ region, data }: FloatImage, shares: RowShares): FloatImage {
  const out = new Float32Array(data.length)
  const stride = data.length / Math.max(region.height, 1)
  for (let y = 0; y < region.height; y++) {
    const share = shareOf(shares, region.y + y)
    if (share === 0) continue
    for (let i = y * stride; i < (y + 1) * stride; i++) out[i] = share * (data[i] as number)
  }
  return { region, data: out }
}

/** The same of a surface's mask, one number a pixel. */
export function maskByRows<T extends { readonly region: FloatImage['region']; readonly share: Float32Array }>(
  mask: T,
  shares: RowShares,
): T {
  const { width, y } = mask.region
  return { ...mask, share: mask.share.map((v, p) => v * shareOf(shares, y + Math.floor(p / width))) }
}

function shareOf(shares: RowShares, y: number): number {
  return shares[Math.min(Math.max(y, 0), shares.length - 1)] as number
}
