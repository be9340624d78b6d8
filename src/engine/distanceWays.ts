/** Every way to the distance of a place in the plate that the document's facts allow. */
import type { Measure, Pixel, Sight } from '../chain/place/distance/sight.js'
import { rayOf } from '../chain/place/distance/sight.js'
import { byGround, byHaze, byNeighbour, bySize, type Length } from '../chain/place/distance/ways.js'
import type { Reading } from '../core/index.js'
import type { Shot } from '../shot/schema.js'
import { plateSettled } from './plateSettings.js'
import { DOUBT, doubted } from './plateSight.js'

/** What a person knows of the place besides the document. */
export interface Known {
  /** Share of its contrast that a dark thing there keeps. */
  readonly contrast?: number | undefined
  /** Something there is so tall, and takes so many pixels. */
  readonly heightM?: number | undefined
  readonly heightPx?: number | undefined
}

export type Ways = Readonly<Record<string, Reading<Length>>>

/** @param foot pixel in which the place touches the ground */
export function waysTo(shot: Shot, sight: Sight, foot: Pixel | undefined, known: Known = {}): Ways {
  return {
    size: sizeWay(sight, known),
    ground: groundWay(shot, sight, foot),
    ...neighbours(shot, sight, foot),
    haze: hazeWay(shot, sight, foot, known.contrast),
  }
}

function sizeWay(sight: Sight, { heightM, heightPx }: Known): Reading<Length> {
  if (heightM === undefined || heightPx === undefined)
    return { cannotTell: 'no height there is told in metres and in pixels' }
  return bySize(sight.focalPx, doubted(heightM, DOUBT.length), pixels(heightPx))
}

function groundWay(shot: Shot, sight: Sight, foot: Pixel | undefined): Reading<Length> {
  const missing = [
    ...(foot === undefined ? ['where it touches the ground'] : []),
    ...(shot.site.horizon === undefined ? ['site.horizon'] : []),
    ...(shot.camera.heightM === undefined ? ['camera.heightM'] : []),
  ]
  if (foot === undefined || shot.camera.heightM === undefined || missing.length > 0)
    return { cannotTell: `not known: ${missing.join(', ')}` }
  return byGround(sight, doubted(shot.camera.heightM, DOUBT.eye), foot, DOUBT.footPx)
}

/** Known things on the same ground, by the horizon; only those of the horizon's own frame share its picture. */
function neighbours(shot: Shot, sight: Sight, foot: Pixel | undefined): Record<string, Reading<Length>> {
  const out: Record<string, Reading<Length>> = {}
  for (const [i, k] of (shot.site.known ?? []).entries()) {
    const name = `known thing ${i + 1}`
    const horizon = shot.site.horizon
    if (foot === undefined || horizon === undefined)
      out[name] = { cannotTell: 'without foot and horizon it tells its own distance alone' }
    else if (horizon.frame !== k.frame)
      out[name] = {
        cannotTell: `it was marked on frame ${k.frame}, the horizon was drawn on frame ${horizon.frame}`,
      }
    else out[name] = byNeighbour(sight, knownDistance(k, sight), lower(k.from, k.to), foot, DOUBT.footPx)
  }
  return out
}

/** How far away a known thing itself is. */
export function knownDistance(k: NonNullable<Shot['site']['known']>[number], sight: Sight): Reading<Length> {
  const long = Math.sqrt((k.to[0] - k.from[0]) ** 2 + (k.to[1] - k.from[1]) ** 2)
  return bySize(sight.focalPx, doubted(k.lengthM, DOUBT.length), pixels(long))
}

function hazeWay(
  shot: Shot,
  sight: Sight,
  foot: Pixel | undefined,
  contrast: number | undefined,
): Reading<Length> {
  const visibility = shot.site.visibilityM ?? plateSettled(shot, 'air.visibility')?.[0]
  if (visibility === undefined) return { cannotTell: 'the visibility is not known' }
  if (contrast === undefined) return { cannotTell: 'how much contrast a dark thing keeps there is not told' }
  const d = foot === undefined ? undefined : rayOf(sight, foot)
  const axis = d === undefined ? 1 : d[2] / Math.sqrt(d[0] ** 2 + d[1] ** 2 + d[2] ** 2)
  return byHaze(doubted(visibility, DOUBT.visibility), { value: contrast, sd: DOUBT.contrast }, axis)
}

function pixels(value: number): Measure {
  return { value, sd: DOUBT.lengthPx }
}

function lower(a: Pixel, b: Pixel): Pixel {
  return a[1] > b[1] ? a : b
}
