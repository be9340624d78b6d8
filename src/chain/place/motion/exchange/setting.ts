/** What a file of points or matrices says of itself, and what is taken for granted where it says nothing. */
import { invert3 } from '../../../../colour/index.js'
import { Problem } from '../../../../core/index.js'
import { chained, type Matrix3, normalised, type Place, shift } from '../matrix.js'
import type { MadeOn } from './file.js'

/**
 * `half`: the first pixel's middle is (0.5, 0.5), edges at whole numbers, as in the program; `whole`: its middle is (0, 0), as in
 * most libraries for pictures.
 */
export type PixelCentres = 'half' | 'whole'

export interface Setting extends MadeOn {
  readonly pixelCentres?: PixelCentres
  /** Number that the file gives the shot's first frame. */
  readonly firstFrame?: number
  /** Of the lens, in the file's pixels. */
  readonly middle?: Place
  /** Frames, as the file numbers them, that were not seen but carried over from both sides. */
  readonly bridged?: readonly number[]
}

const numbers = (v: unknown): v is number[] => Array.isArray(v) && v.every(Number.isFinite)
const fits = (is: (v: unknown) => boolean, what: string, expected: string) => (v: unknown, fail: Fail) =>
  is(v) ? v : fail(what, expected, written(v))

/** How each thing that a file may say of itself is read, by its name. */
const READ: Readonly<Record<keyof Setting, (value: unknown, fail: Fail) => unknown>> = {
  pixelCentres: fits((v) => v === 'half' || v === 'whole', 'pixel centres are wrong', 'half or whole'),
  firstFrame: fits(Number.isInteger, 'the first frame is wrong', 'a whole number'),
  size: sizeOf,
  y: fits((v) => v === 'down' || v === 'up', 'the way of y is wrong', 'down or up'),
  middle: fits((v) => numbers(v) && v.length === 2, 'the middle of the lens is wrong', 'two numbers, px'),
  bridged: fits((v) => numbers(v) && v.every(Number.isInteger), 'bridged frames are wrong', 'whole numbers'),
}

export const isSetting = (name: string): name is keyof Setting => name in READ

/**
 * What a file says of itself.
 *
 * @throws Problem `place.motion-file` where that cannot be
 */
export function settingOf(said: { readonly [K in keyof Setting]?: unknown }, fail: Fail): Setting {
  const known = Object.entries(said).filter(([, value]) => value !== undefined)
  return Object.fromEntries(known.map(([name, value]) => [name, READ[name as keyof Setting](value, fail)]))
}

/** Frames of the shot that were bridged, of those that the file has. */
export function bridgedOf(setting: Setting, there: readonly { readonly frame: number }[]): readonly number[] {
  const meant = new Set(setting.bridged?.map((n) => n - (setting.firstFrame ?? 0)))
  return there.map((t) => t.frame).filter((frame) => meant.has(frame))
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

/** What the file says of the picture that it was made on. */
export function madeOn({ size, y }: Setting): MadeOn {
  return { ...(size === undefined ? {} : { size }), ...(y === undefined ? {} : { y }) }
}

/** Size in pixels from a file's two values. */
function sizeOf(values: unknown, fail: Fail): NonNullable<Setting['size']> {
  const [width, height, ...more] = Array.isArray(values) ? (values as unknown[]) : []
  const whole = (v: unknown): v is number => Number.isInteger(v) && (v as number) > 0
  return whole(width) && whole(height) && more.length === 0
    ? { width, height }
    : fail('the size is wrong', 'width and height, px', written(values))
}

/**
 * A file's nine numbers as a motion of our pixels.
 *
 * @throws Problem `place.motion-file` where they are none
 */
export function matrixToOurs(numbers: readonly number[], setting: Setting, fail: Fail): Matrix3 {
  if (numbers[8] === 0) fail('this matrix carries the corner to infinity', 'a last number other than 0', '0')
  const m = normalised(numbers)
  if (!invert3(m).every(Number.isFinite))
    fail('this matrix presses the picture flat', 'a matrix that can be inverted', written(numbers))
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
    throw new Problem({
      ...{ code: 'place.motion-file', what, where: where(), expected, received },
      remedy: 'Mend the file there, or write it anew where it was made.',
    })
  }
}

/** A value for a message, cut to a line. */
export function written(value: unknown): string {
  const text = JSON.stringify(value) ?? 'nothing'
  return text.length > 80 ? `${text.slice(0, 77)}…` : text
}
