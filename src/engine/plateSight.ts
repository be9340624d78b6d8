/** From the document's facts to the camera that the place link reckons with, and how well each fact is taken to be known. */
import {
  focalInPixels,
  type Measure,
  type Pixel,
  type Sight,
  sightOf,
} from '../chain/place/distance/sight.js'
import { placeAt } from '../chain/place/raster/model.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import type { Picture } from './plan.js'
import { placementOf } from './settings.js'

/**
 * Standard deviations of facts that are told without one (choices): shares of the value, or pixels. Engraved focal lengths are
 * rounded, a lens's height is held to a tape, the horizon is drawn by hand, a person's height is told.
 */
export const DOUBT = {
  focal: 0.02,
  eye: 0.03,
  horizonPx: 2,
  footPx: 1.5,
  length: 0.02,
  lengthPx: 1.5,
  visibility: 0.15,
  contrast: 0.03,
  elementHeight: 0.03,
  trackDistance: 0.03,
  viewDeg: 2,
} as const

export function doubted(value: number, share: number): Measure {
  return { value, sd: share * value }
}

/** How the plate's camera stands, or which fact is missing. */
export function plateSight(shot: Shot, plate: Pick<Picture, 'width' | 'height'>): Sight | string {
  const { focalLengthMm, sensorWidthMm } = shot.camera
  if (focalLengthMm === undefined || sensorWidthMm === undefined)
    return 'camera.focalLengthMm and camera.sensorWidthMm are not known'
  const focal = doubted(focalInPixels(focalLengthMm, sensorWidthMm, plate.width), DOUBT.focal)
  const horizon = shot.site.horizon && { points: shot.site.horizon.points, sd: DOUBT.horizonPx }
  return (
    sightOf(plate.width, plate.height, focal, horizon) ??
    'the two points of site.horizon lie too near to each other, or over each other'
  )
}

export interface Placed {
  /** Where it touches the ground, plate pixels. */
  readonly foot: Pixel | undefined
  readonly middle: Pixel
  readonly scale: number
  readonly frame: number
}

/**
 * Where an element stands on the frame for which the horizon holds; the reason, where that is another one than the frame on which
 * the document places it, and a track lies between.
 */
export function placedFoot(
  e: ShotElement,
  picture: Picture,
  shot: Shot,
  plate: Pick<Picture, 'width'>,
): Placed | string {
  const reference = e.follow && shot.tracks.find((t) => t.id === e.follow?.track)?.reference
  const horizon = shot.site.horizon?.frame
  if (reference !== undefined && horizon !== undefined && reference !== horizon)
    return `its track's reference is frame ${reference}, the horizon was drawn on frame ${horizon}`
  return placedAt(e, picture, shot, plate, reference ?? horizon ?? Math.max(e.startFrame, 0))
}

/** Where its position and keys put an element on a frame, whatever carries it. */
export function placedAt(
  e: ShotElement,
  picture: Picture,
  shot: Shot,
  plate: Pick<Picture, 'width'>,
  frame: number,
): Placed {
  const map = placeAt(placementOf(e, picture, shot, plate.width), frame, picture.width, picture.height)
  const foot =
    e.foot && ([map.originX + map.scaleX * e.foot[0], map.originY + map.scaleY * e.foot[1]] as const)
  const middle = [
    map.originX + (map.scaleX * picture.width) / 2,
    map.originY + (map.scaleY * picture.height) / 2,
  ] as const
  return { foot, middle, scale: map.scaleX, frame }
}
