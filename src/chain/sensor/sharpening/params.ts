import type { Param } from '../../../core/index.js'

/** Of the plate. */
export const sharpeningParams: readonly Param[] = [
  {
    name: 'sensor.overshoot',
    unit: '–',
    count: 1,
    min: 0,
    max: 2,
    default: [0],
    meaning:
      "How far the plate's sharp edges swing beyond their sides, as a share of the step: the sharpening that its camera did after the curve, which every element gets too. 0 is none.",
    source: 'gonzalez2018',
  },
  {
    name: 'sensor.overshootWidth',
    unit: 'px',
    count: 1,
    min: 0.5,
    max: 16,
    default: [2],
    meaning: 'How wide an edge that swings so far was before it was sharpened, from 10 to 90 %.',
    source: 'iso12233',
  },
  {
    name: 'sensor.overshootRadius',
    unit: 'px',
    count: 1,
    min: 0.3,
    max: 8,
    default: [1.2],
    meaning: 'Standard deviation of the blur whose difference the camera adds: how wide the swings are.',
    source: 'gonzalez2018',
  },
]

/** Of one element. */
export const elementSharpeningParams: readonly Param[] = [
  {
    name: 'sensor.elementOvershoot',
    unit: '–',
    count: 1,
    min: 0,
    max: 2,
    default: [0],
    meaning:
      "How far an edge of the element's own file swings that is as wide as the plate's (sensor.overshootWidth); only what it lacks of the plate's is given to it. Counts by its scale where it is drawn smaller.",
    source: 'gonzalez2018',
  },
]
