/** What a file that was made elsewhere holds, in our pixels and frames. `assumed`: sentences about what it does not say. */
import type { Matrix3, Place } from '../matrix.js'
import type { Angles } from './angles.js'

export interface NamedPoint {
  readonly name: string
  /** Frame of the shot, x, y, px. */
  readonly seen: readonly (readonly [number, number, number])[]
}

export type MotionFile =
  | { readonly kind: 'points'; readonly points: readonly NamedPoint[]; readonly assumed: readonly string[] }
  | {
      readonly kind: 'matrices'
      /** From one frame's pixels, the same for all, to this one's. */
      readonly matrices: readonly { readonly frame: number; readonly matrix: Matrix3 }[]
      readonly assumed: readonly string[]
    }
  | {
      readonly kind: 'angles'
      readonly angles: readonly (Angles & { readonly frame: number })[]
      /** Of the lens on the plate, px; the plate's own where the file does not say. */
      readonly middle?: Place
      readonly assumed: readonly string[]
    }
