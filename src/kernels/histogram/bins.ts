/** Bins of the histogram: 64 an octave from 2⁻¹² to 2⁴, by the float's own bits. */
export const BINS = 1024
/** Values that are no number are counted apart, in a bin behind the last. */
export const SLOTS = BINS + 1
export const LOW_BITS = (127 - 12) << 23
export const BIN_SHIFT = 17

/** Lower end of a bin; the first holds all that is less, too. */
export function binStart(bin: number): number {
  return bin <= 0 ? 0 : 2 ** (Math.floor(bin / 64) - 12) * (1 + (bin % 64) / 64)
}
