import type { Param } from '../../../core/index.js'

export const alphaParams: readonly Param[] = [
  {
    name: 'source.coverage',
    unit: '–',
    count: 1,
    min: 0,
    max: 20,
    default: [1],
    meaning:
      'How thick an element shot on black is taken to be, where it covers: times the optical depth of the least alpha that its light could have; black alone does not tell.',
    source: 'common practice',
  },
]
