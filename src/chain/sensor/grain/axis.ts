/**
 * Levels in steps that a viewing curve finds about even: quarter octaves above 0.004 of diffuse white, straight below.
 *
 *   step = 4 · log₂(1 + L / 0.004)
 *
 * Source: a choice, fine enough that a sensor's variance changes by a fifth at most within a step.
 */
const FLOOR = 0.004
const PER_OCTAVE = 4
/** Up to 2¹⁵ × the floor: more than any curve's end. */
export const STEPS = 15 * PER_OCTAVE
/** 2 to the power of ¼, ½, ¾: where the steps of an octave begin. */
const [QUARTER, HALF, THREE] = [Math.sqrt(Math.SQRT2), Math.SQRT2, Math.SQRT2 * Math.sqrt(Math.SQRT2)]
const word = new DataView(new ArrayBuffer(8))

/** The step that a linear level lies in. Asked for every pixel: the octave is read off the number's own exponent. */
export function stepOf(level: number): number {
  if (!(level > 0)) return 0
  const v = 1 + level / FLOOR
  word.setFloat64(0, v)
  const top = word.getInt32(0)
  const octave = (top >> 20) - 1023
  word.setInt32(0, (top & 0xfffff) | 0x3ff00000)
  const m = word.getFloat64(0)
  const within = m < HALF ? (m < QUARTER ? 0 : 1) : m < THREE ? 2 : 3
  return Math.min(STEPS - 1, PER_OCTAVE * octave + within)
}
