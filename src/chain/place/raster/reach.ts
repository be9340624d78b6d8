import { EMPTY, intersect, type Reach, type Region } from '../../../core/index.js'
import {
  neededRegion,
  placedRegion,
  reachedRegion,
  type WarpMap,
  warpedRegion,
  warpSource,
} from '../../../kernels/index.js'
import { carriedWarp } from './carried.js'
import { type Carried, isCarried, type PlaceMap, type Straight } from './map.js'

/**
 * Placing: from an element's own pixels to the plate's. Nothing comes from beyond its picture.
 *
 * @param near plate pixels that can be wanted of it on this frame, whatever part is: a carried element has its map there
 */
export function placeReach(map: PlaceMap, width: number, height: number, near: Region): Reach {
  const picture = { x: 0, y: 0, width, height }
  return isCarried(map)
    ? carriedReach(warpOf(map, width, height, near), picture)
    : straightReach(map, picture)
}

function straightReach(map: Straight, picture: Region): Reach {
  const placed = placedRegion(picture.width, picture.height, map)
  return {
    needs: (output) => intersect(neededRegion(intersect(output, placed), map), picture),
    touches: (input) => intersect(reachedRegion(intersect(input, picture), map), placed),
  }
}

function carriedReach(map: WarpMap | undefined, picture: Region): Reach {
  if (map === undefined) return { needs: () => EMPTY, touches: () => EMPTY }
  return {
    needs: (output) => intersect(warpSource(map, output), picture),
    touches: (input) => warpedRegion(map, intersect(input, picture)),
  }
}

const made = new WeakMap<Carried, { key: string; warp: WarpMap | undefined }>()

/** The map that a carried element is drawn by, made once a frame. */
export function warpOf(map: Carried, width: number, height: number, near: Region): WarpMap | undefined {
  const key = [width, height, near.x, near.y, near.width, near.height].join()
  const known = made.get(map)
  if (known?.key === key) return known.warp
  const warp = carriedWarp(map, width, height, near)
  made.set(map, { key, warp })
  return warp
}
