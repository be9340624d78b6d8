import type { Param } from '../../../core/index.js'

export const defocusParams: readonly Param[] = [
  {
    name: 'lens.blurRadius',
    unit: 'px',
    count: 1,
    min: 0,
    max: 256,
    default: [0],
    meaning: 'Radius of the disc of confusion in plate pixels; 0 is sharp.',
    source: 'potmesil1981',
  },
  {
    name: 'lens.blurGradient',
    unit: 'px',
    count: 6,
    min: -65536,
    max: 65536,
    default: [0, 0, 0, 0, 0, 0],
    meaning:
      'A blur that runs over the element, in place of the one radius: x, y and radius at one place of the plate, then at another; radii below 0 lie nearer than the focus, above 0 farther, 128 at most. Near blur covers what is sharp behind it.',
    source: 'potmesil1981',
  },
  {
    name: 'lens.depthBlur',
    unit: 'px',
    count: 1,
    min: 0,
    max: 128,
    default: [0],
    meaning:
      "A blur that follows the site's depth map, in place of the one radius: that of an endlessly far point. The element is taken to lie on what the map shows.",
    source: 'potmesil1981',
  },
  {
    name: 'lens.depthFocus',
    unit: 'm',
    count: 1,
    min: 0.01,
    max: 1e5,
    default: [1],
    meaning: 'Distance that is in focus, for lens.depthBlur: what is nearer is blurred over what is farther.',
    source: 'pharr2023',
  },
]

/** The shape of the plate's lens opening, which every blur takes. */
export const apertureParams: readonly Param[] = [
  {
    name: 'lens.blades',
    unit: '–',
    count: 1,
    min: 0,
    max: 16,
    default: [0],
    meaning:
      'Blades of the aperture: sides of what a bright point out of focus becomes, 3 or more; 0 is round.',
    source: 'common practice',
  },
  {
    name: 'lens.bladeRotation',
    unit: '°',
    count: 1,
    min: -180,
    max: 180,
    default: [0],
    meaning: 'How far the aperture is turned, clockwise in the picture; at 0 a corner points to the right.',
    source: 'common practice',
  },
  {
    name: 'lens.squeeze',
    unit: '–',
    count: 1,
    min: 0.25,
    max: 1,
    default: [1],
    meaning: 'Width of the blur by its height, below 1 behind a lens that squeezes; its height stays.',
    source: 'common practice',
  },
  {
    name: 'lens.cornerCut',
    unit: '–',
    count: 1,
    min: 0,
    max: 1,
    default: [0],
    meaning:
      "How far the barrel cuts into the blur in the frame's corner, in radii: discs become cat's eyes.",
    source: 'common practice',
  },
]
