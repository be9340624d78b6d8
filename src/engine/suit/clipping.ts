/**
 * Share of the element's light that lies at the ceiling of its file.
 *
 *   share = Σ Y over pixels with a channel at the ceiling / Σ Y over all that it shows      Y: luminance, premultiplied
 *
 * Limits (choices): from 2 % on the fit rebuilds the core, above 30 % it is half guessed (`light/emission/measure.ts`).
 * A sprite painted in one flat colour is not clipped: its shape is all in its alpha.
 */
import type { FloatImage, Reading, Rgb } from '../../core/index.js'
import { told } from '../../core/index.js'
import type { Line } from './types.js'
import { cannotTell, judge, percent } from './verdict.js'

const LIMITS = { fine: 0.02, poor: 0.3 }

/** A channel is at the ceiling from this share of it on: codecs ring by about a code. */
const NEAR = 0.985
/** Light or cover below this is nothing (a choice). */
const LEAST = 0.02
/** Straight luminance that varies less than this is one flat colour. */
const FLAT = 0.02

export interface Clipping {
  readonly share: number
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
  let [all, clipped, low, high] = [0, 0, Number.POSITIVE_INFINITY, 0]
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
      all += light
      if (Math.max(r, g, b) * over >= near) clipped += light
      if (cover < 0.2) continue
      low = Math.min(low, light * over)
      high = Math.max(high, light * over)
    }
  }
  if (all === 0) return { cannotTell: 'it shows no light on the frames looked at' }
  return {
    value: { share: clipped / all, flat: high > 0 && high - low <= FLAT * high },
    evidence: {
      kind: 'measured',
      frames: [],
      method: 'luminance of pixels at the ceiling over all luminance',
      confidence: 0.9,
    },
  }
}

export function clippingLine(m: Reading<Clipping>, float: boolean): Line {
  const base = { name: 'clipping', verdict: 'fine', worth: 1 } as const
  if (float) return { ...base, figure: 'no ceiling', why: 'a float file: its light ends nowhere' }
  if (!told(m))
    return m.cannotTell.startsWith('it shows no light')
      ? { ...base, figure: 'none', why: m.cannotTell }
      : cannotTell('clipping', m.cannotTell)
  const { share, flat } = m.value
  if (flat)
    return {
      ...base,
      worth: 0.9,
      figure: 'one flat colour',
      why: 'painted in one colour: its drawing is all in its alpha',
    }
  return {
    name: 'clipping',
    ...judge(share, LIMITS),
    figure: `${percent(share)} of its light`,
    value: share,
    why: `${percent(share)} of its light lies at the ceiling of its file; up to ${percent(LIMITS.fine)} is fine, up to ${percent(LIMITS.poor)} the core can be rebuilt`,
    ...(share <= LIMITS.fine ? {} : { remedy: 'take one shot darker, or of more bits' }),
  }
}
