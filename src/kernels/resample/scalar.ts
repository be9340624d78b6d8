import type { FloatImage, Region } from '../../core/index.js'

/** Where a picture lies in another: output position = origin + scale · source position, pixel edges at whole numbers. */
export interface Placement {
  readonly scaleX: number
  readonly scaleY: number
  readonly originX: number
  readonly originY: number
}

export function placedRegion(_srcWidth: number, _srcHeight: number, _map: Placement): Region {
  throw new Error('being written')
}

export function resample(_src: FloatImage, _map: Placement, _region: Region): FloatImage {
  throw new Error('being written')
}
