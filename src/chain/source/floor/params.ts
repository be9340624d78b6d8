import type { Param } from '../../../core/index.js'

export const floorParams: readonly Param[] = [
  {
    name: 'source.floor',
    unit: 'linear',
    count: 3,
    min: -0.5,
    max: 1,
    default: [0, 0, 0],
    meaning:
      'Light that the element holds where there should be none (lifted black of a file shot on black); taken off first.',
    source: 'common practice',
  },
  {
    name: 'source.floorNoise',
    unit: 'linear',
    count: 3,
    min: 0,
    max: 1,
    default: [0, 0, 0],
    meaning:
      'Standard deviation of that floor: what rises by less than 1.5 of it is taken for nothing, by more than 3 for light.',
    source: 'common practice',
  },
]
