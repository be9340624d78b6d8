/**
 * Compression blockiness, by the meter of `diagnose`: steps on an 8×8 grid against the steps elsewhere, the lower of both
 * directions.
 *
 * Limits (choices): up to 1.3 the picture itself may do that; from 1.6 on it shows, above 2 it shows on anything soft.
 */
import { blockingFinding } from '../diagnose/blocking.js'
import type { Still } from '../diagnose/still.js'
import type { Line } from './types.js'
import { cannotTell, judge, short } from './verdict.js'

/** Of the ratio less 1. */
const LIMITS = { fine: 1.3 - 1, poor: 2 - 1 }

/** Of the lines across and down every so many-th is looked at: no multiple of 8, so that all places of the grid are met. */
const EVERY = 5

/** @param stills frames as decoded */
export function compressionLine(stills: readonly Still[]): Line {
  const { numbers, sentence } = blockingFinding(stills, EVERY)
  const { across, down } = numbers
  if (typeof across !== 'number' || typeof down !== 'number')
    return cannotTell('compression', clauseOf(sentence))
  return gridLine(Math.min(across, down))
}

/** A sentence of `diagnose` as a part of one of ours. */
function clauseOf(sentence: string): string {
  return `${sentence.charAt(0).toLowerCase()}${sentence.slice(1).replace(/\.$/, '')}`
}

/** @param ratio steps on the grid over steps elsewhere; 1 where there is no grid */
export function gridLine(ratio: number): Line {
  const excess = Math.max(ratio - 1, 0)
  const fine = excess <= LIMITS.fine
  return {
    name: 'compression',
    ...judge(excess, LIMITS),
    figure: fine ? 'no blocks' : `blocks, ${short(ratio)} ×`,
    value: ratio,
    why: `steps on its 8×8 grid are ${short(ratio)} times those elsewhere; up to ${1 + LIMITS.fine} is fine, up to ${1 + LIMITS.poor} poor`,
    ...(fine ? {} : { remedy: 'get it in a better codec, or stand it smaller' }),
  }
}
