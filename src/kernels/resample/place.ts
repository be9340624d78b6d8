import { EMPTY, Problem, type Region } from '../../core/index.js'
import { supportOf } from './taps.js'

/** Where a picture lies in another: output position = origin + scale · source position. */
export interface Placement {
  readonly scaleX: number
  readonly scaleY: number
  readonly originX: number
  readonly originY: number
}

/** Every output pixel whose filter reaches a pixel of a source of this size. */
export function placedRegion(srcWidth: number, srcHeight: number, map: Placement): Region {
  checkScale(map)
  if (srcWidth <= 0 || srcHeight <= 0) return EMPTY
  const [x, right] = span(srcWidth, map.scaleX, map.originX)
  const [y, bottom] = span(srcHeight, map.scaleY, map.originY)
  return { x, y, width: right - x, height: bottom - y }
}

function span(size: number, scale: number, origin: number): [number, number] {
  const reach = supportOf(scale) - 0.5
  const low = origin - reach * scale
  const high = origin + (size + reach) * scale
  return [Math.floor(low - 0.5) + 1, Math.ceil(high - 0.5)]
}

/** @throws Problem `kernels.bad-scale` */
export function checkScale(map: Placement): void {
  if (map.scaleX > 0 && map.scaleY > 0) return
  throw new Problem({
    code: 'kernels.bad-scale',
    what: 'A picture cannot be placed at this scale',
    expected: 'both scales above 0',
    received: `${map.scaleX}, ${map.scaleY}`,
  })
}
