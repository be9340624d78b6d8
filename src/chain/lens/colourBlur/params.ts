import type { Param } from '../../../core/index.js'

export const colourBlurParams: readonly Param[] = [
  {
    name: 'lens.blurByColour',
    unit: '×',
    count: 2,
    min: 0,
    max: 4,
    default: [1, 1],
    meaning:
      "How much wider than green's the plate's lens makes the blur of red, and of blue, where something is out of focus: longitudinal aberration. Above 1 lies a rim of that colour around what is blurred.",
    source: 'common practice',
  },
]
