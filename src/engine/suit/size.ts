/**
 * Size in the plate: plate pixels per element pixel, and whether that asks the element for drawing that it does not have.
 *
 *   scale = given, or h / hₑ, or H · f / (w · D) · W / hₑ      h plate px, hₑ element px, see `chain/place/raster/model.ts`
 *
 * Limits (choices): up to 1.1 nothing is seen; up to 2 it turns soft, which smoke forgives and sparks do not.
 */
import { scaleFromSize } from '../../chain/place/raster/model.js'
import { percent } from '../words.js'
import type { KnownFacts, Line } from './types.js'
import { cannotTell, judge, short } from './verdict.js'

const LIMITS = { fine: 1.1, poor: 2 }

interface Size {
  readonly width: number
  readonly height: number
}

/** Plate pixels per element pixel, or what must be told for it. */
export function scaleFor(
  known: KnownFacts,
  element: Size,
  plateWidth: number,
): number | { readonly tell: string } {
  const { scale, heightPx, heightM, distanceM, focalLengthMm, sensorWidthMm } = known
  if (scale !== undefined) return scale
  if (heightPx !== undefined) return heightPx / element.height
  if (heightM === undefined)
    return { tell: '--scale, or --height-px, or --height with --distance, --focal-length and --sensor-width' }
  const missing = [
    ['--distance', distanceM],
    ['--focal-length', focalLengthMm],
    ['--sensor-width', sensorWidthMm],
  ].flatMap(([option, value]) => (value === undefined ? [option] : []))
  if (missing.length > 0) return { tell: `${missing.join(', ')} to --height` }
  return scaleFromSize(heightM, distanceM as number, element.height, plateWidth, sensorWidthMm, focalLengthMm)
}

/** @param filled share of the element's height that its light or cover takes up */
export function sizeLine(
  known: KnownFacts,
  element: Size,
  plateWidth: number,
  filled: number | undefined,
): Line {
  const scale = scaleFor(known, element, plateWidth)
  if (typeof scale !== 'number')
    return cannotTell('size', 'how large it stands in the plate is not known', `tell ${scale.tell}`)
  const tall = scale * element.height
  const effect =
    filled === undefined || filled > 0.95 ? '' : `; the effect takes up ${percent(filled)} of that at most`
  const enlarged = scale > 1
  return {
    name: 'size',
    ...judge(scale, LIMITS),
    figure: enlarged
      ? `${short(scale)} × enlarged`
      : `${short(scale)} ×, ${scale === 1 ? 'as it is' : 'scaled down'}`,
    value: scale,
    why: `${element.width}×${element.height} px becomes ${Math.round(tall)} plate px tall${effect}; up to ${LIMITS.fine} × is fine, up to ${LIMITS.poor} × poor`,
    ...(scale <= LIMITS.fine
      ? {}
      : { remedy: `take it at ${Math.ceil(tall)} px or more, or stand it smaller` }),
  }
}
