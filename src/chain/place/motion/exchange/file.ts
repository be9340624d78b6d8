/**
 * What a file that was made elsewhere holds: frames of the shot, and pixels with edges at whole numbers of the picture that it was
 * made on (`onPlate.ts` puts it on the plate). `assumed`: sentences about what it does not say.
 */
import type { Matrix3, Place } from '../matrix.js'
import type { Angles } from './angles.js'

export interface NamedPoint {
  readonly name: string
  /** Frame of the shot, x, y, px. */
  readonly seen: readonly (readonly [number, number, number])[]
}

export interface Size {
  readonly width: number
  readonly height: number
}

/** The picture that the file was made on, as far as it says it. */
export interface MadeOn {
  readonly size?: Size
  readonly y?: 'down' | 'up'
}

export type MotionFile = MadeOn & { readonly assumed: readonly string[] } & (
    | { readonly kind: 'points'; readonly points: readonly NamedPoint[] }
    | {
        readonly kind: 'matrices'
        /** From one frame's pixels, the same for all, to this one's. */
        readonly matrices: readonly { readonly frame: number; readonly matrix: Matrix3 }[]
        /** Frames among them on which it was not seen, but carried over from both sides. */
        readonly bridged: readonly number[]
      }
    | {
        readonly kind: 'angles'
        readonly angles: readonly (Angles & { readonly frame: number })[]
        /** Of the lens on the plate, px; the plate's own where the file does not say. */
        readonly middle?: Place
      }
  )
