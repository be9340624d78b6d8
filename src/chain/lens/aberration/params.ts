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
  {
    name: 'lens.aberrationCurve',
    unit: '–',
    count: 4,
    min: -0.05,
    max: 0.05,
    default: [0, 0, 0, 0],
    meaning:
      'How that differs from the middle to the corner: c of red and of blue, then b of both, in r·(k + c·r + b·r²), where 1 is half the short side of the picture; k is lens.aberration. Written out of published profiles.',
    source: 'lensfun-db',
  },
]
