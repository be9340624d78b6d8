import type { Param } from '../../../core/index.js'

export const aberrationParams: readonly Param[] = [
  {
    name: 'lens.aberration',
    unit: '–',
    count: 2,
    min: 0.9,
    max: 1.1,
    default: [1, 1],
    meaning:
      "How much larger the plate's lens draws red, and blue, than green, around the picture's centre; 1.0005 moves a corner of 1920×1080 by half a pixel.",
    source: 'lensfun-db',
  },
]
