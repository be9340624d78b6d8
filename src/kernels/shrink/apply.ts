/**
 * A picture made smaller: every output pixel is the mean of the source over the square that it covers, parts of pixels by
 * their area. Of premultiplied linear light that is the light that falls on a larger sensel.
 *
 *   value = Σ area(i) · source(i) / area of the square         squares from (x − origin) / scale on, scale ≤ 1
 *
 * Two passes, across then down, in single precision. Source: common practice (box filter); [porter1984] for what lies beyond
 * a premultiplied picture's border.
 * @throws Problem `kernels.bad-scale` unless both scales are above 0 and at most 1
 */
import { type FloatImage, isEmpty, Problem, type Region } from '../../core/index.js'
import { filtered } from '../resample/apply.js'
import type { Placement } from '../resample/place.js'
import { newImage } from '../wasm/images.js'
import { areaTaps, type Border } from './taps.js'

/** `src` holds a whole picture, its corner at 0, 0. */
export function shrink(src: FloatImage, map: Placement, region: Region, border: Border): FloatImage {
  checkShrink(map)
  if (isEmpty(region) || isEmpty(src.region)) return newImage(region)
  return filtered(src, ...axes(src, map, region, border), region)
}

/** Taps across and down. */
export function axes(src: FloatImage, map: Placement, region: Region, border: Border) {
  const { width, height } = src.region
  return [
    areaTaps(region.x, region.width, map.scaleX, map.originX, width, border),
    areaTaps(region.y, region.height, map.scaleY, map.originY, height, border),
  ] as const
}

function checkShrink({ scaleX, scaleY }: Placement): void {
  if (scaleX > 0 && scaleY > 0 && scaleX <= 1 && scaleY <= 1) return
  throw new Problem({
    code: 'kernels.bad-scale',
    what: 'A picture cannot be shrunk by this factor',
    expected: 'both factors above 0 and at most 1',
    received: `${scaleX}, ${scaleY}`,
  })
}
