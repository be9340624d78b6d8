import type { Param } from '../../../core/index.js'

/** Of the plate; one set a shot, shared by all elements. */
export const plateGrainParams: readonly Param[] = [
  {
    name: 'sensor.grainLevels',
    unit: 'linear',
    count: 0,
    ascending: true,
    min: -1,
    max: 1000,
    default: [],
    meaning: 'Levels at which the grain was measured, ascending.',
    source: 'foi2008',
  },
  {
    name: 'sensor.grainVariance',
    unit: 'linear²',
    count: 0,
    holds: { times: 3, of: 'sensor.grainLevels' },
    min: 0,
    max: 1000,
    default: [],
    meaning: 'Variance of the grain at those levels: all of R, then G, then B.',
    source: 'foi2008',
  },
  {
    name: 'sensor.grainCorrelation',
    unit: '–',
    count: 0,
    holds: 12,
    min: -1,
    max: 1,
    default: [],
    meaning:
      'Correlation of the fine grain with the pixel one and two to the right and one and two below: four for R, four for G, four for B.',
    source: 'common practice',
  },
  {
    name: 'sensor.grainMix',
    unit: '–',
    count: 0,
    holds: 3,
    min: -1,
    max: 1,
    default: [],
    meaning: 'Correlation of the fine grain between the channels: RG, RB, GB.',
    source: 'common practice',
  },
  {
    name: 'sensor.grainCross',
    unit: '–',
    count: 0,
    holds: 12,
    min: -1,
    max: 1,
    default: [],
    meaning:
      'The same between a channel and the other one at those four pixels: four for RG, four for RB, four for GB. Tells how much coarser colour is than luma; none: no coarser.',
    source: 'common practice',
  },
  {
    name: 'sensor.grainCoarse',
    unit: '–',
    count: 0,
    holds: { times: 3, of: 'sensor.grainLevels' },
    min: 0,
    max: 1,
    default: [],
    meaning:
      'Share of the variance at those levels that lies in blotches many pixels wide: all of R, then G, then B; none: no blotches.',
    source: 'common practice',
  },
  {
    name: 'sensor.grainCoarseSize',
    unit: 'px',
    count: 1,
    min: 0,
    max: 64,
    default: [0],
    meaning: 'Distance at which a blotch is half as strong as in its middle, in plate pixels.',
    source: 'common practice',
  },
  {
    name: 'sensor.grainCoarseMix',
    unit: '–',
    count: 3,
    min: -1,
    max: 1,
    default: [0, 0, 0],
    meaning: 'Correlation of the blotches between the channels: RG, RB, GB.',
    source: 'common practice',
  },
]

/** Of one element. */
export const elementGrainParams: readonly Param[] = [
  {
    name: 'sensor.elementVariance',
    unit: 'linear²',
    count: 3,
    min: 0,
    max: 1000,
    default: [0, 0, 0],
    meaning: "Variance of the element's own grain, in its own file, in linear light before the match.",
    source: 'common practice',
  },
]
