import type { Param } from '../../../core/index.js'

export const castParams: readonly Param[] = [
  {
    name: 'light.cast',
    unit: '–',
    count: 1,
    min: 0,
    max: 100,
    default: [0],
    meaning: "Factor on the light that the emitter throws on the surfaces named in the element's `lights`; 1 is what inverse square gives.",
    source: 'common practice',
  },
]
