import type { Rows } from './rows.js'
import type { Tally } from './tally.js'

/** Share of the blocks that are the same in both frames to the last code, from which on a codec held the noise still. */
export const FROZEN = 0.5
/** How sure a bound is that texture may have raised: a choice. */
export const BOUND = 0.5
/** Blocks that a way of looking must have. */
export const LEAST_BLOCKS = 40

/** How one way of looking finds the noise, and where. */
export interface Found {
  readonly rows: Rows[]
  readonly tally: Tally
  readonly method: string
  /** Whether no texture can have passed for noise. */
  readonly sure: boolean
  /** What the rows' blocks show: over time they lose their means. */
  readonly blocks: 'less their means' | 'whole'
  /** Where it is none of the spread's. */
  readonly confidence?: number
}
