import type { Param } from '../../../core/index.js'

export const ownMotionParams: readonly Param[] = [
  {
    name: 'shutter.topUp',
    unit: '°',
    count: 1,
    min: 0,
    max: 360,
    default: [0],
    meaning:
      "How far its own motion is blurred beyond what its file brings, as an angle of the plate's turn; 0 is not.",
    source: '[potmesil1983]; variances of boxes add',
  },
]
