import type { Param } from '../../../core/index.js'

export const limitsParams: readonly Param[] = [
  {
    name: 'sensor.clip',
    unit: 'linear',
    count: 3,
    min: 0,
    max: 10000,
    default: [0, 0, 0],
    meaning:
      "Level at which the plate's own highlights end, R, G, B: each channel of an element stops there by itself, so that fire burns out as the plate's would. 0 ends nowhere.",
    source: 'emva1288',
  },
  {
    name: 'sensor.floor',
    unit: 'linear',
    count: 3,
    min: -1,
    max: 1,
    default: [-1, -1, -1],
    meaning:
      "Level below which the plate's own blacks never go, R, G, B; nothing that lies over it is darker. -1 is no floor.",
    source: 'emva1288',
  },
]
