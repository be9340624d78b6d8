import type { Param } from '../../../core/index.js'

export const vignetteParams: readonly Param[] = [
  {
    name: 'lens.vignette',
    unit: '–',
    count: 3,
    min: -5,
    max: 5,
    default: [0, 0, 0],
    meaning:
      "Share of light that the plate's lens leaves toward the corners: k1, k2, k3 of 1 + k1·r² + k2·r⁴ + k3·r⁶, where 1 is the corner; 0, 0, 0 leaves all of it.",
    source: 'lensfun-db',
  },
]
