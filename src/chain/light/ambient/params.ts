import type { Param } from '../../../core/index.js'

export const ambientParams: readonly Param[] = [
  {
    name: 'light.ambient',
    unit: 'linear',
    count: 3,
    min: 0,
    max: 1000,
    default: [1, 1, 1],
    meaning:
      'Light of the place: how bright a perfectly white surface facing the camera would look there, read off a grey card.',
    source: 'common practice',
  },
]
