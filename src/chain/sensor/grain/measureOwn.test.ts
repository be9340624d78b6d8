import { expect, it } from 'vitest'
import { chance, normal } from '../../../../test/worlds/chance.js'
import { emptyImage, type FloatImage, told } from '../../../core/index.js'
import { measureOwnGrain } from './measureOwn.js'

const SIZE = 384
/** Linear, at the middle level. */
const SIGMA = 0.004

/** Leaves of all sizes, each with its own light, on an even ground that shows between them; `bare` of the picture has none. */
function textured(sigma: number, bare: number, seed = 7): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: SIZE, height: SIZE })
  const own = new Float32Array(SIZE * SIZE).fill(0.2)
  for (let k = 0; k < 6000; k++) {
    const [x, y, r] = [SIZE * chance(1, k), SIZE * (bare + (1 - bare) * chance(2, k)), 2 + 6 * chance(3, k)]
    const light = 0.1 + 0.3 * chance(4, k)
    for (let v = Math.ceil(y - r); v < Math.min(y + r, SIZE); v++)
      for (let u = Math.ceil(x - r); u < Math.min(x + r, SIZE); u++)
        if (u >= 0 && v >= bare * SIZE && (u - x) ** 2 + (v - y) ** 2 < r * r) own[v * SIZE + u] = light
  }
  own.forEach((v, p) => {
    for (let c = 0; c < 3; c++) image.data[4 * p + c] = v + sigma * normal(seed, p, c)
    image.data[4 * p + 3] = 1
  })
  return image
}

it('finds the noise between textures, inside its spread', () => {
  const found = measureOwnGrain([{ frame: 0, image: textured(SIGMA, 0.4), after: undefined }], 1)
  if (!told(found) || found.evidence.kind !== 'measured') throw new Error('not told')
  const { spread = 0 } = found.evidence
  expect(Math.abs(found.value[1] - SIGMA ** 2)).toBeLessThan(2 * spread)
  expect(Math.sqrt(found.value[1]) / SIGMA).toBeGreaterThan(0.9)
  expect(Math.sqrt(found.value[1]) / SIGMA).toBeLessThan(1.1)
})

it('takes no texture for noise where nothing is flat', () => {
  expect(told(measureOwnGrain([{ frame: 0, image: textured(0, 0), after: undefined }], 1))).toBe(false)
})

it('finds it over time where nothing is flat and it holds still', () => {
  const image = textured(SIGMA, 0)
  const found = measureOwnGrain([{ frame: 0, image, after: textured(SIGMA, 0, 8) }], 1)
  if (!told(found)) throw new Error(found.cannotTell)
  for (const v of found.value) expect(Math.abs(Math.sqrt(v) / SIGMA - 1)).toBeLessThan(0.05)
})
