import type { Param } from '../../../core/index.js'

const point = (name: string, whose: string, which: string): Param => ({
  name: `light.${name}`,
  unit: 'linear',
  count: 3,
  min: -1,
  max: 1000,
  default: which === 'black' ? [0, 0, 0] : which === 'white' ? [1, 1, 1] : [0.18, 0.18, 0.18],
  meaning: `${whose} ${which} point per channel, in linear light before haze.`,
  source: 'common practice',
})

/** Element points go to plate points; equal points leave the element as it is. */
export const matchParams: readonly Param[] = [
  point('elementBlack', "The element's", 'black'),
  point('elementMiddle', "The element's", 'middle'),
  point('elementWhite', "The element's", 'white'),
  point('plateBlack', "The plate's", 'black'),
  point('plateMiddle', "The plate's", 'middle'),
  point('plateWhite', "The plate's", 'white'),
]
