/** Cb and Cr of picture rows, filtered across to the chroma sites: the shared half of pack and patch. */
import type { LumaWeights } from '../../colour/index.js'
import type { FloatImage } from '../../core/index.js'
import { filterRow, type Taps } from './taps.js'

export interface ChromaScratch {
  readonly cb: Float64Array
  readonly cr: Float64Array
}

export function chromaScratch(width: number): ChromaScratch {
  return { cb: new Float64Array(width), cr: new Float64Array(width) }
}

/**
 * Row `row` of the picture (counted from its region's top) as Cb and Cr in −0.5…0.5 at `count` chroma sites:
 * Cb = (B′ − Y)/(2(1 − Kb)), Cr = (R′ − Y)/(2(1 − Kr)).
 */
export function chromaRow(
  image: FloatImage,
  row: number,
  { kr, kb }: LumaWeights,
  taps: Taps,
  count: number,
  scratch: ChromaScratch,
  cb: Float64Array,
  cr: Float64Array,
): void {
  const { width } = image.region
  const { data } = image
  const kg = 1 - kr - kb
  const toCb = 1 / (2 * (1 - kb))
  const toCr = 1 / (2 * (1 - kr))
  for (let i = 0, o = 4 * row * width; i < width; i++, o += 4) {
    const luma = kr * data[o] + kg * data[o + 1] + kb * data[o + 2]
    scratch.cb[i] = (data[o + 2] - luma) * toCb
    scratch.cr[i] = (data[o] - luma) * toCr
  }
  filterRow(scratch.cb, taps, count, cb)
  filterRow(scratch.cr, taps, count, cr)
}
