import { EMPTY, grow, isEmpty, Problem, type Region } from '../../core/index.js'
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
  const [x, right] = span(0, srcWidth, map.scaleX, map.originX)
  const [y, bottom] = span(0, srcHeight, map.scaleY, map.originY)
  return { x, y, width: right - x, height: bottom - y }
}

/** Every output pixel that a part of the source can change: one more on each side, for positions that round. */
export function reachedRegion(part: Region, map: Placement): Region {
  if (isEmpty(part)) return EMPTY
  const [x, right] = span(part.x, part.width, map.scaleX, map.originX)
  const [y, bottom] = span(part.y, part.height, map.scaleY, map.originY)
  return grow({ x, y, width: right - x, height: bottom - y }, 1)
}

/** Every source pixel that a part of the output is made from: likewise. */
export function neededRegion(part: Region, map: Placement): Region {
  if (isEmpty(part)) return EMPTY
  const [x, right] = seen(part.x, part.width, map.scaleX, map.originX)
  const [y, bottom] = seen(part.y, part.height, map.scaleY, map.originY)
  return grow({ x, y, width: right - x, height: bottom - y }, 1)
}

function span(start: number, size: number, scale: number, origin: number): [number, number] {
  const reach = supportOf(scale) - 0.5
  const low = origin + (start - reach) * scale
  const high = origin + (start + size + reach) * scale
  return [Math.floor(low - 0.5) + 1, Math.ceil(high - 0.5)]
}

/** Source pixels around the positions of the first and the last output pixel. */
function seen(start: number, size: number, scale: number, origin: number): [number, number] {
  const support = supportOf(scale)
  const at = (x: number) => (x + 0.5 - origin) / scale - 0.5
  return [Math.ceil(at(start) - support), Math.floor(at(start + size - 1) + support) + 1]
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
