/** What a preview's threads are asked. Pictures lie in shared memory: what crosses is where they are. */
import type { AlphaKind } from '../../chain/source/alpha/apply.js'
import type { ColourEncoding, NativeFrame, Rgb } from '../../core/index.js'
import type { FrameInput } from '../frame.js'
import type { Plan } from '../plan.js'
import type { Kept } from './store.js'

/** A decoded frame to be made smaller. */
export interface Shrink {
  readonly kind: 'plate' | 'element' | 'matte' | 'data'
  readonly frame: NativeFrame
  readonly encoding: ColourEncoding
  readonly alpha: AlphaKind
  readonly factor: number
}

/** A band of what can be touched in a frame, to be made and shown. */
export interface Band {
  readonly kind: 'band'
  /** Names the plan: a thread makes the same one ready only once. */
  readonly key: string
  readonly plan: Plan
  /** How the plate's file codes its light: it is shown as that. */
  readonly plate: ColourEncoding
  /** Exposure for looking, in stops; other than 0 changes the whole picture. */
  readonly stops: number
  readonly input: FrameInput
  /** Which of how many bands of one height. */
  readonly band: number
  readonly bands: number
  /** Three bytes a pixel of the whole frame, in shared memory. */
  readonly shown: Uint8Array
}

/** One pixel's light, of each plan. */
export interface Point {
  readonly kind: 'point'
  readonly plans: readonly Pick<Band, 'key' | 'plan'>[]
  readonly input: FrameInput
  /** Pixels of the small picture. */
  readonly x: number
  readonly y: number
}

export type Task = Shrink | Band | Point
/** A band answers with nothing. */
export type Done = Kept | readonly Rgb[] | undefined
