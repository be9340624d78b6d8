import type { Bend } from '../../chain/lens/bend.js'
import type { Place } from '../../vision/index.js'

/** Between the plate as it was filmed and a plate without lens distortion. */
export interface Lens {
  readonly straight: (p: Place) => Place
  readonly filmed: (p: Place) => Place
}

export function lensOf(bend: Bend | undefined): Lens {
  if (bend === undefined) return { straight: (p) => p, filmed: (p) => p }
  return { straight: ([x, y]) => bend.straight(x, y), filmed: ([x, y]) => bend.drawn(x, y) }
}
