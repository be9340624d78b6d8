import type { Param } from '../../../core/index.js'

export const defocusParams: readonly Param[] = [
  {
    name: 'lens.blurRadius',
    unit: 'px',
    count: 1,
    min: 0,
    max: 256,
    default: [0],
    meaning: 'Radius of the disc of confusion in plate pixels; 0 is sharp.',
    source: 'potmesil1981',
  },
]
