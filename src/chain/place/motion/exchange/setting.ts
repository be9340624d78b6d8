/** What a file of points or matrices says of itself, and what is taken for granted where it says nothing. */
import { Problem } from '../../../../core/index.js'
import { chained, type Matrix3, shift } from '../matrix.js'

/**
 * `half`: the first pixel's middle is (0.5, 0.5), edges at whole numbers, as in the program; `whole`: its middle is (0, 0), as in
 * most libraries for pictures.
 */
export type PixelCentres = 'half' | 'whole'

export interface Setting {
  readonly pixelCentres?: PixelCentres
  /** Number that the file gives the shot's first frame. */
  readonly firstFrame?: number
}

/** Sentences about what the file does not say. */
export function assumedOf({ pixelCentres, firstFrame }: Setting, inPixels = true): readonly string[] {
  return [
    ...(pixelCentres || !inPixels
      ? []
      : ['The file does not say where pixels have their centres: the first one at 0.5, 0.5 is assumed.']),
    ...(firstFrame === undefined
      ? ['The file does not say how it numbers frames: the shot’s first one as 0 is assumed.']
      : []),
  ]
}

/** What is added to a file's place to get ours, px. */
export function toOurs({ pixelCentres }: Setting): number {
  return pixelCentres === 'whole' ? 0.5 : 0
}

/** A file's matrix in our pixels. */
export function matrixToOurs(m: Matrix3, setting: Setting): Matrix3 {
  const by = toOurs(setting)
  return by === 0 ? m : chained(shift(by, by), chained(m, shift(-by, -by)))
}

/**
 * Frame of the shot that a file's number means.
 *
 * @throws Problem `place.motion-file` where it is no whole number, or before the first frame
 */
export function frameOf(number: unknown, { firstFrame = 0 }: Setting, fail: Fail): number {
  const frame = typeof number === 'number' ? number - firstFrame : Number.NaN
  return Number.isInteger(frame) && frame >= 0
    ? frame
    : fail('this is no frame of the shot', `a whole number, ${firstFrame} or more`, written(number))
}

export type Fail = (what: string, expected: string, received: string) => never

export function failAt(where: () => string): Fail {
  return (what, expected, received) => {
    throw new Problem({ code: 'place.motion-file', what, where: where(), expected, received })
  }
}

/** A value for a message, cut to a line. */
export function written(value: unknown): string {
  const text = JSON.stringify(value) ?? 'nothing'
  return text.length > 80 ? `${text.slice(0, 77)}…` : text
}
