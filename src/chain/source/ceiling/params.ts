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
  {
    name: 'source.blueOfGreen',
    unit: '–',
    count: 2,
    min: 0,
    max: 10,
    default: [0, 1],
    meaning:
      "How the flame's blue goes with its green where both are whole, as shares of the ceiling: gain and power of B = gain · G^power. Green beyond the ceiling is read off blue by it. Gain 0: not known.",
    source: 'planck1901',
  },
]
