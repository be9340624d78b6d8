/**
 * Share of the element's light that lies at the ceiling of its file.
 *
 *   share = Σ Y over pixels with n channels at the ceiling / Σ Y over all that it shows      Y: luminance, premultiplied
 *
 * lost: two channels or all; no colour is left there. one: a single channel, which a flame's temperature gives back
 * (`light/emission/measure.ts`).
 *
 * Limits (choices): lost up to 2 % is fine, up to 30 % the core can be rebuilt; a single channel over more than 30 % is poor.
 * A sprite painted in one flat colour is not clipped: its shape is all in its alpha.
 */
import { curveOf } from '../../colour/index.js'
import { type FloatImage, type Reading, type Rgb, told } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { percent } from '../words.js'
import type { Line } from './types.js'
import { cannotTell, judge } from './verdict.js'

const LOST = { fine: 0.02, poor: 0.3 }
const ONE = 0.3

/** A channel is at the ceiling from this share of it on: codecs ring by about a code. */
const NEAR = 0.985
/** Light or cover below this is nothing (a choice). */
const LEAST = 0.02
/** Straight luminance that varies less than this is one flat colour. */
const FLAT = 0.02
/** Cover from which a straight colour is worth reading. */
const COVERED = 0.2

/** All the code beyond nominal white that video may hold: (254 − 16) / 219 [bt709]. */
const SUPER_WHITE = 238 / 219

export interface Clipping {
  readonly one: number
  readonly lost: number
  /** One colour all over: painted so, not clipped. */
  readonly flat: boolean
}

/**
 * @param images premultiplied linear light; without cover of its own an element on black has alpha 0
 * @param ceiling linear value at which the file's code ends; infinity for float files
 */
export function measureClipping(
  images: readonly FloatImage[],
  ceiling: number,
  luminance: Rgb,
): Reading<Clipping> {
  let [all, one, lost, low, high] = [0, 0, 0, Number.POSITIVE_INFINITY, 0]
  const near = NEAR * ceiling
  for (const { data } of images) {
    for (let i = 0; i < data.length; i += 4) {
      const r = data[i] as number
      const g = data[i + 1] as number
      const b = data[i + 2] as number
      const cover = data[i + 3] as number
      const light = luminance[0] * r + luminance[1] * g + luminance[2] * b
      if (!(light > LEAST)) continue
      const over = cover > 0 ? 1 / cover : 1
      const channels = (r * over >= near ? 1 : 0) + (g * over >= near ? 1 : 0) + (b * over >= near ? 1 : 0)
      all += light
      if (channels === 1) one += light
      else if (channels > 1) lost += light
      if (cover < COVERED) continue
      low = Math.min(low, light * over)
      high = Math.max(high, light * over)
    }
  }
  if (all === 0) return { cannotTell: 'it shows no light on the frames looked at' }
  const method = 'luminance of pixels at the ceiling over all luminance'
  return {
    value: { one: one / all, lost: lost / all, flat: high > 0 && high - low <= FLAT * high },
    evidence: { kind: 'measured', frames: [], method, confidence: 0.9 },
  }
}

export function clippingLine(m: Reading<Clipping>, float: boolean): Line {
  const base = { name: 'clipping', verdict: 'fine', worth: 1 } as const
  if (float) return { ...base, figure: 'no ceiling', why: 'a float file: its light ends nowhere' }
  if (!told(m)) return cannotTell('clipping', m.cannotTell)
  const { one, lost, flat } = m.value
  if (flat) {
    const why = 'painted in one colour: its drawing is all in its alpha'
    return { ...base, worth: 0.9, figure: 'one flat colour', why }
  }
  const judged = judge(lost, LOST)
  const single = judged.verdict === 'fine' && one > ONE
  const clipped = judged.verdict !== 'fine'
  const channel = one > LOST.fine ? `, ${percent(one)} in one channel alone` : ''
  return {
    name: 'clipping',
    ...(single ? { verdict: 'poor', worth: 0.85 } : judged),
    figure: single ? `${percent(one)} in one channel` : clipped ? `${percent(lost)} of its light` : 'little',
    value: lost,
    why: `${percent(lost)} of its light lies at the ceiling of its file in two channels or all${channel}; up to ${percent(LOST.fine)} is fine, up to ${percent(LOST.poor)} the core can be rebuilt`,
    ...(clipped
      ? { remedy: 'take one shot darker, or of more bits' }
      : single
        ? { remedy: 'its colour there comes from its temperature: look at it once' }
        : {}),
  }
}

/**
 * Linear value at which a file's code ends: nominal white, or the code's own end where it goes beyond white.
 *
 * @param codes pictures of code values
 */
export function ceilingOf(
  codes: readonly FloatImage[],
  { layout, encoding }: Pick<SourceInfo, 'layout' | 'encoding'>,
): number {
  if (layout.float) return Number.POSITIVE_INFINITY
  const { decode } = curveOf(encoding.curve)
  if (layout.family !== 'yuv' || encoding.range !== 'limited') return decode(1)
  let most = 0
  for (const { data } of codes)
    for (let i = 0; i < data.length; i++)
      if ((i & 3) !== 3 && (data[i] as number) > most) most = data[i] as number
  return decode(most > 1.03 ? SUPER_WHITE : 1)
}
