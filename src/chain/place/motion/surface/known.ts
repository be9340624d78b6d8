import type { State } from '../known.js'
import type { Where } from '../path.js'

/** What is known of a frame: where its nodes lie (x and y in turn), and the variance along an axis, px². */
export interface KnownSurface {
  readonly state: State
  readonly where: Where
  readonly variance: number
}
