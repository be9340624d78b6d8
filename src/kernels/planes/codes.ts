/**
 * How integer codes stand for nominal values: code = offset + scale · value.
 *
 *   luma, R, G, B   limited (219·v + 16)·2ⁿ⁻⁸   full (2ⁿ − 1)·v
 *   Cb, Cr          limited (224·v + 128)·2ⁿ⁻⁸  full (2ⁿ − 1)·v + 2ⁿ⁻¹
 *   alpha           (2ⁿ − 1)·v, whatever the range (common practice: files store alpha full)
 *
 * Float samples are the values themselves.
 *
 * Source: [bt709] item 3.4, [bt2100] Table 9.
 */
import type { PixelLayout, RangeName } from '../../core/index.js'

export interface CodeScale {
  readonly offset: number
  readonly scale: number
  /** Largest code of the sample type; infinite for float. */
  readonly top: number
}

/** Scale of plane `index` (0 luma or R, 3 alpha). */
export function codeScale(layout: PixelLayout, range: RangeName, index: number): CodeScale {
  if (layout.float) return { offset: 0, scale: 1, top: Number.POSITIVE_INFINITY }
  const top = 2 ** layout.bits - 1
  const unit = 2 ** (layout.bits - 8)
  const chroma = layout.family === 'yuv' && (index === 1 || index === 2)
  if (index === 3 || range === 'full') return { offset: chroma ? 128 * unit : 0, scale: top, top }
  return chroma
    ? { offset: 128 * unit, scale: 224 * unit, top }
    : { offset: 16 * unit, scale: 219 * unit, top }
}

/** Values themselves: nominal black 0 and white 1. */
export const NOMINAL: CodeScale = { offset: 0, scale: 1, top: Number.POSITIVE_INFINITY }

export function sameScale(a: CodeScale, b: CodeScale): boolean {
  return a.offset === b.offset && a.scale === b.scale && a.top === b.top
}
