import type { Param } from '../../../core/index.js'

export const hazeParams: readonly Param[] = [
  {
    name: 'air.transmittance',
    unit: '–',
    count: 3,
    min: 0,
    max: 1,
    default: [1, 1, 1],
    meaning: "Share of the element's light that reaches the camera through the air, e^(−βd).",
    source: 'koschmieder1924',
  },
  {
    name: 'air.airlight',
    unit: 'linear',
    count: 3,
    min: 0,
    max: 1000,
    default: [0, 0, 0],
    meaning: 'Colour of the air at infinite distance; enters by coverage only.',
    source: 'koschmieder1924',
  },
]
