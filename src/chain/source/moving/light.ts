/**
 * The light of a matte that was changed: the element's straight colour stays, and where it had hardly any the mean of what is around,
 * weighted by coverage, goes on.
 *
 *   P′ = α′ · P / α                          α at least 0.1
 *      = α′ · (g ∗ P) / (g ∗ α)              else; g gaussians of 2, 6 and 18 px, the first that finds anything
 *
 * Source: normalised convolution [knutsson1993]; widths are choices.
 */
import type { FloatImage } from '../../../core/index.js'
import { gaussianBlur } from '../../../kernels/index.js'

const OWN = 0.1
const FOUND = 0.01
const WIDTHS = [2, 6, 18]

/** @param image premultiplied @param alpha what it shall cover */
export function withMatte(image: FloatImage, alpha: Float32Array): FloatImage {
  const data = image.data.slice()
  const asked: number[] = []
  for (let p = 0; p < alpha.length; p++) {
    const [a, to] = [data[4 * p + 3] as number, alpha[p] as number]
    if (a === to) continue
    if (a < OWN && to > a) asked.push(p)
    scaled(data, p, a > 0 ? to / a : 0)
    data[4 * p + 3] = to
  }
  for (const width of asked.length === 0 ? [] : WIDTHS) {
    const { data: near } = gaussianBlur(image, width, image.region)
    for (let k = asked.length - 1; k >= 0; k--) {
      const p = asked[k] as number
      const a = near[4 * p + 3] as number
      if (a < FOUND && width !== WIDTHS.at(-1)) continue
      for (let i = 4 * p; i < 4 * p + 3; i++)
        data[i] = a > 0 ? ((alpha[p] as number) * (near[i] as number)) / a : 0
      asked.splice(k, 1)
    }
  }
  return { region: image.region, data }
}

function scaled(data: Float32Array, p: number, by: number): void {
  for (let i = 4 * p; i < 4 * p + 3; i++) data[i] = by * (data[i] as number)
}
