/**
 * Timecode at a rate, and as the word that OpenEXR keeps of it.
 *
 * Binary-coded decimal, from the lowest bit: frames 4 + 2 bits, drop-frame 1, colour frame 1; seconds 4 + 3, second of a pair 1;
 * minutes 4 + 3, a flag 1; hours 4 + 2, two flags. Above 30 frames a second the frames count pairs. Sources: [st12-1 §5, §12],
 * [openexr-attributes] (the packing for 60-field television, which the file format names).
 */
import type { Rate } from './types.js'

const DROP = 1 << 6
const SECOND_OF_PAIR = 1 << 15

/** Frames that a timecode counts in a second. */
export function nominal(rate: Rate): number {
  return Math.round(rate.num / rate.den)
}

/** `hh:mm:ss:ff`, `;` before the frames for drop-frame, which only rates near 30 and 60 have. Source: [st12-1 §5.2]. */
export function isTimecode(text: string, rate: Rate): boolean {
  const parts = /^(\d\d):([0-5]\d):([0-5]\d)([:;])(\d{2,3})$/.exec(text)
  if (parts === null) return false
  const whole = nominal(rate)
  const drop = parts[4] === ';'
  const [hours, frames] = [Number(parts[1]), Number(parts[5])]
  // Drop-frame leaves out the first numbers of every minute but each tenth.
  const skipped = drop && Number(parts[3]) === 0 && Number(parts[2]) % 10 !== 0 && frames < whole / 15
  const dropFits = !drop || (rate.den === 1001 && whole % 30 === 0)
  return hours < 24 && frames < whole && dropFits && !skipped
}

/** The word of a timecode; `undefined` where it has no room for the frame (above 60 a second). */
export function packTimecode(text: string, rate: Rate): number | undefined {
  const [h = 0, m = 0, s = 0, f = 0] = text.split(/[:;]/).map(Number)
  const paired = nominal(rate) > 30
  const frame = paired ? f >> 1 : f
  if (frame > 39) return undefined
  const flags = (text.includes(';') ? DROP : 0) | (paired && f % 2 === 1 ? SECOND_OF_PAIR : 0)
  return ((bcd(h) << 24) | (bcd(m) << 16) | (bcd(s) << 8) | bcd(frame) | flags) >>> 0
}

/** The timecode of a word, whether there is such a one at this rate or not: `isTimecode` says that. */
export function unpackTimecode(word: number, rate: Rate): string {
  const digits = (at: number, tens: number) => 10 * ((word >>> (at + 4)) & tens) + ((word >>> at) & 15)
  const counted = digits(0, 3)
  const paired = nominal(rate) > 30
  const frame = paired ? 2 * counted + ((word & SECOND_OF_PAIR) === 0 ? 0 : 1) : counted
  const two = (n: number) => String(n).padStart(2, '0')
  const drop = (word & DROP) === 0 ? ':' : ';'
  return `${two(digits(24, 3))}:${two(digits(16, 7))}:${two(digits(8, 7))}${drop}${two(frame)}`
}

function bcd(n: number): number {
  return (Math.floor(n / 10) << 4) | (n % 10)
}
