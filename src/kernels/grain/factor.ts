import type { Rgb } from '../../core/index.js'

/** Symmetric taps (odd count) along x and along y of one axis; they need no scale. */
export interface GrainTaps {
  readonly x: readonly number[]
  readonly y: readonly number[]
}

/** What each of three axes gives to R, then to G, then to B: nine numbers, each channel's squares adding up to 1. */
export type Mixing = readonly number[]

/** Taps of unit energy from the middle outwards. */
export function outwards(taps: readonly number[]): Float32Array {
  const energy = taps.reduce((sum, t) => sum + t * t, 0)
  return Float32Array.from(taps.slice(taps.length >> 1), (t) => t / Math.sqrt(energy))
}

/** Channels with given correlations out of three axes, of which the first is R: the lower triangle of [golub2013 §4.2]. */
export function mixFactor([rg, rb, gb]: Rgb): Mixing {
  const l11 = Math.sqrt(Math.max(1 - rg * rg, 0))
  const room = Math.sqrt(Math.max(1 - rb * rb, 0))
  const l21 = l11 === 0 ? 0 : Math.min(Math.max((gb - rb * rg) / l11, -room), room)
  const l22 = Math.sqrt(Math.max(1 - rb * rb - l21 * l21, 0))
  return [1, 0, 0, rg, l11, 0, rb, l21, l22]
}
