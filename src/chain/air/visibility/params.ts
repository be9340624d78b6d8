import type { Param } from '../../../core/index.js'

export const visibilityParams: readonly Param[] = [
  {
    name: 'air.visibility',
    unit: 'm',
    count: 1,
    min: 1,
    max: 1e6,
    default: [1e6],
    meaning: 'Distance at which a black object keeps 2 % of its contrast, read off marks at known distances.',
    source: 'koschmieder1924',
  },
]
