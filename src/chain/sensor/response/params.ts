import type { Param } from '../../../core/index.js'

/** Of the plate; its own code values are read and written through it. */
export const responseParams: readonly Param[] = [
  {
    name: 'sensor.response',
    unit: '–',
    count: 0,
    min: -1,
    max: 1000,
    default: [],
    meaning:
      "The camera's own curve, in place of the one that the file names: rows of light (white = 1) and the codes R, G, B that it makes (0 to 1), all rising.",
    source: 'debevec1997',
  },
]
