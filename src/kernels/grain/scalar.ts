import type { Region, Rgb } from '../../core/index.js'

/** Symmetric taps (odd count) along x and along y of one channel. */
export interface GrainTaps {
  readonly x: readonly number[]
  readonly y: readonly number[]
}

export function grainField(
  _seed: number,
  _frame: number,
  _region: Region,
  _taps: readonly [GrainTaps, GrainTaps, GrainTaps],
  _mix: Rgb,
): Float32Array {
  throw new Error('being written')
}
