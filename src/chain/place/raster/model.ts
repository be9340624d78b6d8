/**
 * Placement: where an element's pixels lie in the plate, frame by frame.
 *
 *   scale = given, or H · f / (w · D) · W / h      H real height m, D distance m, f focal length mm,
 *                                                  w sensor width mm, W plate width px, h element height px
 *
 * Source: pinhole projection, [hartley2004 §6.1].
 */
import { Problem } from '../../../core/index.js'
import type { Straight } from './map.js'

/** Linear keys: offsets in plate pixels added to the position, and a factor on the scale. */
export interface PlaceKey {
  readonly frame: number
  readonly dx: number
  readonly dy: number
  readonly scale: number
}

export interface Placement {
  /** Plate pixels, of the element's centre. */
  readonly x: number
  readonly y: number
  /** Plate pixels per element pixel. */
  readonly scale: number
  readonly keys: readonly PlaceKey[]
}

/**
 * Plate pixels per element pixel for a real height at a distance.
 *
 * @param plateWidthPx of the picture as it is shown, upright
 * @param sensorWidthMm the sensor's side along that width: of a camera held upright its short side
 * @throws Problem `place.no-camera` when the sensor width or the focal length is unknown
 */
export function scaleFromSize(
  heightM: number,
  distanceM: number,
  elementHeightPx: number,
  plateWidthPx: number,
  sensorWidthMm: number | undefined,
  focalLengthMm: number | undefined,
): number {
  if (sensorWidthMm === undefined || focalLengthMm === undefined) {
    throw new Problem({
      code: 'place.no-camera',
      what: 'A real height needs the camera to become pixels',
      where: 'camera',
      expected: 'sensorWidthMm and focalLengthMm',
      remedy: 'Write both into the document, or give the element a scale.',
    })
  }
  return ((heightM * focalLengthMm) / (sensorWidthMm * distanceM)) * (plateWidthPx / elementHeightPx)
}

/** Placement on one frame of the shot: linear between keys, held outside. */
export function placeAt(p: Placement, frame: number, elementWidth: number, elementHeight: number): Straight {
  const k = keyAt(p.keys, frame)
  const scale = p.scale * k.scale
  return {
    scaleX: scale,
    scaleY: scale,
    originX: p.x + k.dx - (scale * elementWidth) / 2,
    originY: p.y + k.dy - (scale * elementHeight) / 2,
  }
}

function keyAt(keys: readonly PlaceKey[], frame: number): PlaceKey {
  const first = keys[0]
  if (first === undefined) return { frame, dx: 0, dy: 0, scale: 1 }
  let before = first
  for (const key of keys) {
    if (key.frame <= frame) {
      before = key
      continue
    }
    if (before.frame > frame) return before
    const t = (frame - before.frame) / (key.frame - before.frame)
    const mix = (a: number, b: number) => a + (b - a) * t
    return {
      frame,
      dx: mix(before.dx, key.dx),
      dy: mix(before.dy, key.dy),
      scale: mix(before.scale, key.scale),
    }
  }
  return before
}
