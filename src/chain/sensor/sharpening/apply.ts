import { type Evidence, type FloatImage, spreadOf, type Told } from '../../../core/index.js'
import { gaussianBlur, newImage, type Window } from '../../../kernels/index.js'
import { type Both, detailOf } from '../detail.js'
import { amountFor, type Sharpening } from './model.js'

export interface Sharpen {
  /** a */
  readonly amount: number
  /** ρ, px */
  readonly radius: number
}

/** What is not surely missing is not added: standard deviations, a choice. */
const SURE = 2

/**
 * What an element still lacks of the plate's sharpening; undefined where that is nothing.
 *
 * @param own how far the element's edges swing by themselves, in the plate; undefined where nobody knows: it may have all of it, and an
 * edge sharpened twice is worse than a soft one @param doubt standard deviation of the difference @param share of it that is done, 0 to 1
 */
export function sharpenFor(
  plate: Sharpening,
  own: number | undefined,
  doubt: number,
  share: number,
): Sharpen | undefined {
  if (own === undefined) return undefined
  const missing = plate.overshoot - own
  const amount = missing > SURE * doubt ? share * amountFor({ ...plate, overshoot: missing }) : 0
  return amount > 0 ? { amount, radius: plate.radius } : undefined
}

/** In place on luma with the layer: the plate's own edges, sharpened already, stay as they are. */
export function sharpen(luma: Both, kept: Float32Array, { amount, radius }: Sharpen): void {
  const detail = detailOf(luma, kept, radius)
  const { after } = luma
  for (let p = 0; p < after.length; p++) after[p] = (after[p] as number) + amount * (detail[p] as number)
}

/**
 * The radius of a disc of blur that was read with sharpening taken off is no surer than that: the slope of an edge of σ px grew by
 * 1 + a·g,  g = 1 − σ / √(σ² + ρ²),  and the blur is read off the slope.
 *
 * @param read px @param doubt standard deviation of the overshoot that was taken off, as a share of it
 */
export function withDoubt(read: Told<number>, { amount, radius }: Sharpen, doubt: number): Told<number> {
  // The mean square of a disc along an axis is r²/4.
  const sigma = read.value / 2
  const grows = amount * (1 - sigma / Math.hypot(sigma, radius))
  const spread = Math.hypot(spreadOf(read), (read.value * doubt * grows) / (1 + grows))
  return { value: read.value, evidence: { ...read.evidence, spread } as Evidence }
}

/** What is left after so many steps, of an amount of 3: a thirtieth. */
const STEPS = 12

/**
 * Luma as it was before it was sharpened:  Y ← (Y′ + a·w∗Y) / (1 + a), again and again, which comes to Y′ = Y + a·(Y − w∗Y).
 *
 * @param luma in codes @param sharp what was done to it
 */
export function unsharpened({ width, height, values }: Window, { amount, radius }: Sharpen): Window {
  const region = { x: 0, y: 0, width, height }
  const image: FloatImage = newImage(region)
  const { data } = image
  const out = Float64Array.from(values)
  for (let step = 0; step < STEPS; step++) {
    for (let p = 0, i = 0; p < out.length; p++, i += 4) [data[i], data[i + 3]] = [out[p] as number, 1]
    const soft = gaussianBlur(image, radius, region).data
    for (let p = 0, i = 0; p < out.length; p++, i += 4)
      out[p] =
        ((values[p] as number) + (amount * (soft[i] as number)) / (soft[i + 3] as number)) / (1 + amount)
  }
  return { width, height, values: out }
}
