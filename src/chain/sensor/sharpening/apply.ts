import { type Both, detailOf } from '../detail.js'
import { amountFor, type Sharpening } from './model.js'

export interface Sharpen {
  /** a */
  readonly amount: number
  /** ρ, px */
  readonly radius: number
}

/**
 * What an element still lacks of the plate's sharpening; undefined where that is nothing.
 *
 * @param own how far the element's edges swing by themselves, in the plate @param share of it that is done, 0 to 1
 */
export function sharpenFor(plate: Sharpening, own: number, share: number): Sharpen | undefined {
  const missing = plate.overshoot - own
  const amount = missing > 0 ? share * amountFor({ ...plate, overshoot: missing }) : 0
  return amount > 0 ? { amount, radius: plate.radius } : undefined
}

/** In place on luma with the layer: the plate's own edges, sharpened already, stay as they are. */
export function sharpen(luma: Both, kept: Float32Array, { amount, radius }: Sharpen): void {
  const detail = detailOf(luma, kept, radius)
  const { after } = luma
  for (let p = 0; p < after.length; p++) after[p] = (after[p] as number) + amount * (detail[p] as number)
}
