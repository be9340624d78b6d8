import { type PixelLayout, Problem, type Region } from '../../core/index.js'
import { checkInside } from './coding.js'

/**
 * The chroma samples of an aligned region of the frame.
 *
 * @throws Problem `kernels.region-outside`, `kernels.region-unaligned`
 */
export function chromaRegion(
  region: Region,
  layout: PixelLayout,
  frameWidth: number,
  frameHeight: number,
): Region {
  checkInside(region, frameWidth, frameHeight)
  const stepX = 1 << layout.subX
  const stepY = 1 << layout.subY
  const right = region.x + region.width
  const bottom = region.y + region.height
  if (
    region.x % stepX !== 0 ||
    region.y % stepY !== 0 ||
    (right % stepX !== 0 && right !== frameWidth) ||
    (bottom % stepY !== 0 && bottom !== frameHeight)
  ) {
    throw new Problem({
      code: 'kernels.region-unaligned',
      what: 'The region cuts through chroma samples',
      expected: `edges on multiples of ${stepX}×${stepY} or on the frame's border`,
      received: `${region.width}×${region.height} at ${region.x}, ${region.y}`,
      exit: 3,
    })
  }
  const x = region.x / stepX
  const y = region.y / stepY
  return { x, y, width: Math.ceil(right / stepX) - x, height: Math.ceil(bottom / stepY) - y }
}
