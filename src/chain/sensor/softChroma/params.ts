import type { Param } from '../../../core/index.js'

/** Of the plate. */
export const softChromaParams: readonly Param[] = [
  {
    name: 'sensor.chromaBlur',
    unit: 'px',
    count: 1,
    min: 0,
    max: 16,
    default: [0],
    meaning:
      "By how much the plate's chroma is softer than its luma, as the standard deviation of a Gaussian, halved samples of its file included: an element's is softened to that.",
    source: 'poynton2012',
  },
]

/** Of one element. */
export const elementChromaParams: readonly Param[] = [
  {
    name: 'sensor.elementChromaBlur',
    unit: 'px',
    count: 1,
    min: 0,
    max: 16,
    default: [0],
    meaning: "The same of the element's own file, in its own pixels; only what it lacks is softened.",
    source: 'poynton2012',
  },
]
