import { type LumaWeights, lumaWeights } from '../../colour/matrices.js'
import { type ColourEncoding, Problem, type Region } from '../../core/index.js'

/** The part of an encoding that says how samples stand for R′G′B′; curve and primaries do not matter here. */
export type Coding = Pick<ColourEncoding, 'range' | 'matrix' | 'siting'>

/** @throws Problem `kernels.no-matrix` when luma and chroma come without a matrix. */
export function weightsOf(coding: Coding): LumaWeights {
  if (coding.matrix === 'rgb') {
    throw new Problem({
      code: 'kernels.no-matrix',
      what: 'Luma and chroma planes need the matrix they were made with',
      expected: 'bt601, bt709 or bt2020',
      received: 'rgb',
      remedy: 'Set `matrix` on the plate or element.',
    })
  }
  return lumaWeights[coding.matrix]
}

/** Kr, Kg and Kb as multiples of 2⁻²⁴: their sum is 1 in single precision too, so half white stays half. */
export function evenWeights(coding: Coding): { kr: number; kg: number; kb: number } {
  const [kr, kb] = [weightsOf(coding).kr, weightsOf(coding).kb].map(
    (k) => Math.round(k * 2 ** 24) / 2 ** 24,
  ) as [number, number]
  return { kr, kg: 1 - kr - kb, kb }
}

/** @throws Problem `kernels.region-outside` when the region does not lie in the frame. */
export function checkInside(region: Region, width: number, height: number): void {
  const { x, y } = region
  if (x < 0 || y < 0 || x + region.width > width || y + region.height > height) {
    throw new Problem({
      code: 'kernels.region-outside',
      what: 'The region does not lie in the frame',
      expected: `inside ${width}×${height}`,
      received: `${region.width}×${region.height} at ${x}, ${y}`,
      exit: 3,
    })
  }
}
