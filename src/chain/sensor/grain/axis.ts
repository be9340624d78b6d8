/**
 * Levels in steps that a viewing curve finds about even: quarter octaves above 0.004 of diffuse white, straight below.
 *
 *   step = 4 · log₂(1 + L / 0.004)
 *
 * Source: a choice, fine enough that a sensor's variance changes by a fifth at most within a step.
 */
import { log2 } from '../../../core/index.js'

const FLOOR = 0.004
const PER_OCTAVE = 4
/** Up to 2¹⁵ × the floor: more than any curve's end. */
export const STEPS = 15 * PER_OCTAVE

/** The step that a linear level lies in. */
export function stepOf(level: number): number {
  if (!(level > 0)) return 0
  return Math.min(STEPS - 1, Math.floor(PER_OCTAVE * log2(1 + level / FLOOR)))
}
