/** What is seen of a keyed element over other ground: CIEDE2000 against the truth over the same ground, mean over the band. */
import { deltaE2000Image } from '../../src/colour/index.js'
import { fbm } from '../worlds/chance.js'
import type { Truth } from './case.js'

type Ground = (x: number, y: number) => readonly [number, number, number]

/** A grey room, a bright sky, a street at night: linear light by place, 1 across. */
const GROUNDS: readonly Ground[] = [
  () => [0.2, 0.2, 0.2],
  (_x, y) => [0.75 - 0.3 * y, 0.82 - 0.25 * y, 0.95 - 0.2 * y],
  (x, y) => {
    const k = 0.5 + 0.5 * fbm(9 * x, 9 * y, 2, 3)
    return [0.02 + 0.05 * k, 0.02 + 0.025 * k, 0.05 + 0.02 * (1 - k)]
  },
]

/** @param keyed premultiplied light and alpha of every frame @param every of the band's pixels only each so many-th */
export function differenceOf(
  keyed: readonly Float32Array[],
  truth: readonly Truth[],
  width: number,
  every = 1,
): number {
  let [sum, n] = [0, 0]
  keyed.forEach((element, k) => {
    let seen = 0
    const band = truth[k].band.map((v) => (v === 1 && seen++ % every === 0 ? 1 : 0))
    for (const ground of GROUNDS) {
      const made = deltaE2000Image(
        over(element, ground, width),
        over(truth[k].element, ground, width),
        'bt709',
        band,
      )
      for (const v of made) sum += v
      n += made.length
    }
  })
  return sum / Math.max(n, 1)
}

export function over(element: Float32Array, ground: Ground, width: number): Float32Array {
  const out = new Float32Array(element.length)
  for (let p = 0; p < out.length / 4; p++) {
    const light = ground((p % width) / width, Math.floor(p / width) / width)
    for (let c = 0; c < 3; c++) out[4 * p + c] = element[4 * p + c] + (1 - element[4 * p + 3]) * light[c]
    out[4 * p + 3] = 1
  }
  return out
}
