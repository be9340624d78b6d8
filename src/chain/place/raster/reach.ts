import { intersect, type Reach } from '../../../core/index.js'
import { neededRegion, placedRegion, reachedRegion } from '../../../kernels/index.js'
import type { PlaceMap } from './model.js'

/** Placing: from an element's own pixels to the plate's. Nothing comes from beyond its picture. */
export function placeReach(map: PlaceMap, width: number, height: number): Reach {
  const picture = { x: 0, y: 0, width, height }
  const placed = placedRegion(width, height, map)
  return {
    needs: (output) => intersect(neededRegion(intersect(output, placed), map), picture),
    touches: (input) => intersect(reachedRegion(intersect(input, picture), map), placed),
  }
}
