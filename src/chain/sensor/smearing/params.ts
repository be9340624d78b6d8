import type { Param } from '../../../core/index.js'

/** Of the plate. */
export const smearingParams: readonly Param[] = [
  {
    name: 'sensor.smear',
    unit: '× noise',
    count: 1,
    min: 0,
    max: 20,
    default: [0],
    meaning:
      "Contrast below which the plate's camera takes fine detail for noise and smears it, in standard deviations of the grain at that level: an element's faint texture is smeared alike. Set by hand alone: what a camera has smeared away, a plate does not show.",
    source: 'common practice',
  },
]
