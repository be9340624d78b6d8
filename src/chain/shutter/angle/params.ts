import type { Param } from '../../../core/index.js'
import { ASSUMED_ANGLE } from './model.js'

export const angleParams: readonly Param[] = [
  {
    name: 'shutter.angle',
    unit: '°',
    count: 1,
    min: 0,
    max: 360,
    default: [ASSUMED_ANGLE],
    meaning: 'How long the shutter is open: 360 is all the time between two frames.',
    source: 'common practice',
  },
]
