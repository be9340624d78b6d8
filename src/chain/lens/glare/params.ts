import type { Param } from '../../../core/index.js'

export const glareParams: readonly Param[] = [
  {
    name: 'lens.glare',
    unit: '– px',
    count: 2,
    min: 0,
    max: 128,
    default: [0, 16],
    meaning:
      "The skirt that the plate's lens draws around bright light: the share of the light that lies in it, 0 to 0.5, and its width in plate pixels.",
    source: 'common practice',
  },
]
