import type { Param } from '../../../core/index.js'

export const castParams: readonly Param[] = [
  {
    name: 'light.cast',
    unit: '–',
    count: 1,
    min: 0,
    max: 100,
    default: [0],
    meaning:
      "Factor on the light that the emitter throws on the surfaces named in the element's `lights`; 1 is what inverse square gives.",
    source: 'common practice',
  },
  {
    name: 'light.surfaces',
    unit: 'linear',
    count: 0,
    min: 0,
    max: 1000,
    default: [],
    meaning:
      'Mean light of each surface named in `lights` before the emitter shines on it: R, G, B of the first, then of the next.',
    source: 'common practice',
  },
]
