import type { Param } from '../../../core/index.js'

export const emissionParams: readonly Param[] = [
  {
    name: 'light.exposure',
    unit: 'stops',
    count: 1,
    min: -12,
    max: 12,
    default: [0],
    meaning: 'How much brighter the emitter shines in this plate than in its own file.',
    source: 'common practice',
  },
  {
    name: 'light.temperature',
    unit: 'K',
    count: 1,
    min: 1000,
    max: 20000,
    default: [1800],
    meaning: 'Colour temperature that the emitter should have in the plate.',
    source: 'planck1901',
  },
  {
    name: 'light.elementTemperature',
    unit: 'K',
    count: 1,
    min: 1000,
    max: 20000,
    default: [1800],
    meaning: 'Colour temperature of the emitter in its own file.',
    source: 'planck1901',
  },
]
