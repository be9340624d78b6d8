import { align, grow, type PixelLayout, type Reach, type Region } from '../../core/index.js'

/**
 * From the plate's samples to the delivery's: chroma is spread over pixels one chroma step away and gathered again from as
 * far; edges lie on the chroma sites of both. Other samples are made from their own pixel.
 */
export function deliveryReach(plate: PixelLayout, delivery: PixelLayout): Reach {
  const stepX = 1 << Math.max(plate.subX, delivery.subX)
  const stepY = 1 << Math.max(plate.subY, delivery.subY)
  const step = Math.max(stepX, stepY)
  const spread = (r: Region) => align(grow(r, step === 1 ? 0 : 2 * step), stepX, stepY)
  return { needs: spread, touches: spread }
}
