/**
 * Bits really used: codes of k bits put into b bits lie on a lattice, all others stay empty.
 *
 *   shifted   code = v · 2^(b−k)        scaled   code = ⌊v · (2^b − 1) / (2^k − 1) + ½⌋
 *
 * Speaks when 99.9 % of all samples lie on the lattice of the smallest such k and at least 24 of its codes are used, so that a
 * flat graphic is no proof. Chance would put 2^(k−b) of them there.
 */
import type { Codes } from './codes.js'
import { cannotTell, type Finding } from './finding.js'

const CODE = 'diagnose.bits'
const METHOD = 'share of samples on the lattice of fewer bits'
const ENOUGH = 0.999
const LEAST_CODES = 24

export function bitsFinding(codes: Codes): Finding {
  const { float, bits } = codes.layout
  if (float) return cannotTell(CODE, 'float samples have no fixed depth', METHOD, codes.frames)
  const light = codes.light()
  const used = light.reduce((n, c) => n + (c > 0 ? 1 : 0), 0)
  const numbers = { container: bits, codesUsed: used }
  const base = { code: CODE, frames: codes.frames, method: METHOD }
  if (used < LEAST_CODES)
    return cannotTell(
      CODE,
      `Only ${used} different ${used === 1 ? 'code is' : 'codes are'} used: too few to tell their depth.`,
      METHOD,
      codes.frames,
      numbers,
    )
  for (let k = 8; k < bits; k++) {
    if (Math.max(onShift(light, bits, k), onScale(light, bits, k)) < ENOUGH) continue
    return {
      ...base,
      verdict: 'fault',
      sentence: `Only ${k} of its ${bits} bits are used: it was made from ${k === 8 || k === 11 ? 'an' : 'a'} ${k}-bit picture.`,
      remedy:
        'Ask for the original with all its bits; in this one grade gently, and look for bands in skies and smoke.',
      confidence: 0.95,
      numbers: { ...numbers, bitsUsed: k },
    }
  }
  return {
    ...base,
    verdict: 'fine',
    sentence: `All ${bits} bits are used.`,
    confidence: bits === 8 ? 0.7 : 0.9,
    numbers: { ...numbers, bitsUsed: bits },
  }
}

/** Bits really used, as far as the finding knows; else all. */
export function bitsOf({ numbers }: Finding, all: number): number {
  return typeof numbers.bitsUsed === 'number' ? numbers.bitsUsed : all
}

function onShift(counts: Uint32Array, bits: number, k: number): number {
  const step = 2 ** (bits - k)
  return shareWhere(counts, (code) => code % step === 0)
}

function onScale(counts: Uint32Array, bits: number, k: number): number {
  const ratio = (2 ** bits - 1) / (2 ** k - 1)
  return shareWhere(counts, (code) => Math.round(Math.round(code / ratio) * ratio) === code)
}

function shareWhere(counts: Uint32Array, is: (code: number) => boolean): number {
  let on = 0
  let total = 0
  for (let code = 0; code < counts.length; code++) {
    const n = counts[code] as number
    if (n === 0) continue
    total += n
    if (is(code)) on += n
  }
  return total === 0 ? 0 : on / total
}
