/**
 * NaN and infinity from a file: counted, and replaced before any filter can spread them.
 *
 *   NaN → mean of the finite pixels among its eight neighbours, per channel; where there is none, 0, and 1 in alpha (a choice:
 *         what is not known covers)
 *   ±∞  → ±65504, the largest half float; in alpha 1 and 0, as nothing covers more than all or less than nothing
 */
import { around, type FloatImage, type PixelLayout, POINTWISE, type Reach } from '../../core/index.js'
import { notFinite } from '../../kernels/index.js'

const LARGEST_HALF = 65504

export interface Replaced {
  readonly nan: number
  readonly infinite: number
}

/** What is found in samples that can hold no such values. */
export const NOTHING: Replaced = { nan: 0, infinite: 0 }

/** A hole is filled from the pixels around; whole numbers have none. */
export function finiteReach(layout: PixelLayout): Reach {
  return layout.float ? around(1) : POINTWISE
}

/** Whether `count` numbers from `start` on are all finite: NaN and infinity times 0 are NaN. */
export function allFinite(data: ArrayLike<number>, start: number, count: number): boolean {
  let sum = 0
  for (let i = start; i < start + count; i++) sum += (data[i] as number) * 0
  return sum === 0
}

/** In place. `mark`, when given, gets 1 at every pixel that was changed. */
export function replaceNotFinite(image: FloatImage, mark?: Uint8Array): Replaced {
  const d = image.data
  let nan = 0
  let infinite = 0
  const holes: number[] = []
  const endless: number[] = []
  for (const i of notFinite(d)) {
    if (mark !== undefined) mark[i >> 2] = 1
    if (Number.isNaN(d[i])) {
      nan++
      holes.push(i)
    } else {
      infinite++
      endless.push(i)
    }
  }
  const values = holes.map((i) => neighbourMean(image, i))
  holes.forEach((i, k) => {
    d[i] = values[k] as number
  })
  for (const i of endless) {
    const [least, most] = (i & 3) === 3 ? [0, 1] : [-LARGEST_HALF, LARGEST_HALF]
    d[i] = (d[i] as number) > 0 ? most : least
  }
  return { nan, infinite }
}

function neighbourMean(image: FloatImage, index: number): number {
  const { width, height } = image.region
  const channel = index & 3
  const p = index >> 2
  const x = p % width
  const y = (p - x) / width
  let sum = 0
  let n = 0
  for (let v = Math.max(y - 1, 0); v <= Math.min(y + 1, height - 1); v++) {
    for (let u = Math.max(x - 1, 0); u <= Math.min(x + 1, width - 1); u++) {
      const value = image.data[4 * (v * width + u) + channel] as number
      if (!Number.isFinite(value)) continue
      sum += value
      n++
    }
  }
  return n === 0 ? (channel === 3 ? 1 : 0) : sum / n
}
