import type { Param } from '../../../core/index.js'

export const ceilingParams: readonly Param[] = [
  {
    name: 'source.ceiling',
    unit: 'linear',
    count: 1,
    min: 0,
    max: 1000,
    default: [0],
    meaning:
      "Level at which the emitter's file was clipped: channels that reach it are rebuilt from the others by its temperature. 0 rebuilds nothing.",
    source: 'planck1901',
  },
]
