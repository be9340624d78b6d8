/** What is known of a motion, frame by frame. */
import type { Lens } from './fit/fit.js'
import type { Model } from './fit/models.js'
import type { Matrix3 } from './matrix.js'
import type { Corners } from './path.js'

/** Seen there; set by hand; carried over from both sides; not known. */
export type State = 'tracked' | 'corrected' | 'bridged' | 'lost'

export interface SolvedFrame {
  readonly frame: number
  readonly state: State
  /** From the reference frame's pixels to this one's, straight. */
  readonly matrix: Matrix3
  /** Standard deviation along an axis of where the outline's ends lie, or the points' places where there is none, root mean square over them, px. */
  readonly spreadPx: number
  readonly agree: number
  readonly seen: number
}

/** What is known of a frame while it is worked on. */
export interface Known {
  readonly state: State
  readonly matrix: Matrix3
  readonly variance: number
}

/** What a motion is worked on with. `reference`: its index among the frames. */
export interface Context {
  readonly model: Model
  readonly lens: Lens | undefined
  readonly corners: Corners
  readonly reference: number
}
