/** An element's own grain as it stands in the plate's light: what its way has left of it. */
import type { NativeFrame, Region, Rgb } from '../core/index.js'
import type { StreakMap } from '../kernels/index.js'
import type { ElementSettings } from './element.js'
import { falloffAt } from './lens/vignette/model.js'
import { areaScale, type PlaceMap, placed } from './place/raster/map.js'
import { shineSlope } from './shine.js'
import { grainKept } from './shutter/motion/model.js'
import { lengthAt, middleLength } from './streak.js'

/** How it moves while the shutter is open: as it is placed, and in its own picture. */
interface Ways {
  readonly placed: StreakMap | undefined
  readonly own: StreakMap | undefined
}

/**
 * Variance where alpha is 1, by channel.
 *
 * @param share of a second picture, whose grain is another one
 */
export function ownVariance(
  s: ElementSettings,
  native: NativeFrame,
  map: PlaceMap,
  ways: Ways,
  frame: Region,
  share: number,
): Rgb {
  const left =
    grainLeft(native, map, ways.placed) * grainBlurred(ways.own) * lensLeaves(s, native, map, frame) ** 2
  const shrink = left * ((1 - share) ** 2 + share ** 2)
  const gain = shineSlope(s)
  return [
    s.variance[0] * shrink * (gain[0] * s.transmittance[0]) ** 2,
    s.variance[1] * shrink * (gain[1] * s.transmittance[1]) ** 2,
    s.variance[2] * shrink * (gain[2] * s.transmittance[2]) ** 2,
  ]
}

/** What of its grain's variance placing and the open shutter leave. */
function grainLeft({ width, height }: NativeFrame, map: PlaceMap, ways: StreakMap | undefined): number {
  const area = Math.min(1, areaScale(map, width, height))
  return ways === undefined ? area : area * grainKept(lengthAt(ways, ...placed(map, width / 2, height / 2)))
}

/** What a blur over its own motion leaves of it: that of its median way. */
function grainBlurred(ways: StreakMap | undefined): number {
  return ways === undefined ? 1 : grainKept(middleLength(ways))
}

/** Share of light that the plate's lens leaves at the element's middle: its own grain goes with it, all over it alike. */
function lensLeaves(
  { vignette, bend }: ElementSettings,
  { width, height }: NativeFrame,
  map: PlaceMap,
  frame: Region,
): number {
  if (vignette === undefined) return 1
  const middle = placed(map, width / 2, height / 2)
  const [x, y] = bend?.drawn(...middle) ?? middle
  return Number.isFinite(x) && Number.isFinite(y) ? Math.min(falloffAt(vignette, frame, x, y), 1) : 1
}
