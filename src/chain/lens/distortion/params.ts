import type { Param } from '../../../core/index.js'

export const distortionParams: readonly Param[] = [
  {
    name: 'lens.distortion',
    unit: '–',
    count: 5,
    min: -1,
    max: 1,
    default: [0, 0, 0, 0, 0],
    meaning:
      "How the plate's lens bends straight lines: k1, k2, p1, p2, k3 of the Brown-Conrady model, where 1 is half the picture's short side from its centre; k1 below 0 is a barrel.",
    source: 'brown1971',
  },
]
