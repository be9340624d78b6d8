import { expect, it } from 'vitest'
import { normal } from '../../../../test/worlds/chance.js'
import { emptyImage, type FloatImage, type PixelLayout, told } from '../../../core/index.js'
import { pack, unpack } from '../../../kernels/index.js'
import { measureGrain } from './measure.js'
import { roundingOf } from './rounding.js'

const SIZE = 256
const ENCODING = { range: 'limited', matrix: 'bt709', curve: 'linear', primaries: 'bt709' } as const
const EIGHT: PixelLayout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false }
/** The same without rounding. */
const FLOAT: PixelLayout = { ...EIGHT, bits: 32, float: true }

/** An even colour with noise whose chroma spans half a code at half the size, as a file of this layout has it. */
function filmed(frame: number, layout: PixelLayout, siting: 'left' | 'centre'): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width: SIZE, height: SIZE })
  for (let p = 0; p < SIZE * SIZE; p++)
    image.data.set([...[0.42, 0.4, 0.371].map((v, c) => v + 0.012 * normal(frame, p, c)), 1], 4 * p)
  const coding = { ...ENCODING, siting }
  return unpack(pack(image, layout, coding), coding, image.region)
}

it.each(['left', 'centre'] as const)('is taken off with its own correlation, sites %s', (siting) => {
  const grain = (layout: PixelLayout) => {
    const [image, after] = [filmed(1, layout, siting), filmed(2, layout, siting)]
    const found = measureGrain([{ frame: 0, image, after }], 1, roundingOf(layout, { ...ENCODING, siting }))
    if (!told(found)) throw new Error(found.cannotTell)
    return found.value
  }
  const [eight, float] = [grain(EIGHT), grain(FLOAT)]
  const all = (g: typeof eight) => [...g.lags, ...g.cross, g.mix].flat()
  all(eight).forEach((v, i) => {
    expect(Math.abs(v - (all(float)[i] as number))).toBeLessThan(0.02)
  })
  eight.variance.forEach((v, c) => {
    expect(Math.abs((v[0] as number) / (float.variance[c]?.[0] as number) - 1)).toBeLessThan(0.04)
  })
})
