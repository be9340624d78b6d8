/** Tells in a person's words: numbers with units, and how each was measured. */
import type { Tell } from '../engine/types.js'
import { formatBound, formatNumber } from './format.js'

interface Words {
  /** Where the tell's own unit says too little. */
  readonly unit?: string
  /** Of a limit that bounds the difference between measured and expected; absent where it bounds the measured number. */
  readonly apart?: string
  readonly how: string
}

const point = (share: string): Words => ({
  apart: 'stops',
  how: `The element's own colour is taken out of the finished picture where it covers the plate; the ${share} point of its light is held against that of the place to compare with, seen through the element's air.`,
})

const TELLS: Readonly<Record<string, Words>> = {
  blacks: point('10 %'),
  middle: point('50 %'),
  whites: point('90 %'),
  cast: {
    apart: 'stops',
    how: "Red and blue of the element's middle against its green, held against the same of the place to compare with.",
  },
  haze: {
    unit: 'share',
    how: "The share of the air's light in the element's blacks, against what its distance and the visibility ask for.",
  },
  spill: {
    how: "The element's own colour in its rim, taken out of the finished picture, against that of its body within 10 px and of the plate behind it.",
  },
  'matte-holes': {
    how: 'Parts of the matte that are not solid, that the solid body encloses and nothing is seen through.',
  },
  'matte-veil': {
    how: 'Coverage below a tenth, farther than 12 px from anything that stands.',
  },
  'matte-chatter': {
    how: "Coverage at the edges of the element's own file on four frames one after the other, along its motion: what goes up on one and down on the next.",
  },
  'edge-width': {
    how: "The steepest tenth of the clear edges: pixels from 10 to 90 % of the step, the element's against the plate's.",
  },
  'fall-off': {
    how: "The element's light in the finished picture over what it would be in the picture's middle, where the plate's lens leaves least of it.",
  },
  'no-skirt': {
    how: "The mean rise of the plate around the element's own picture, against what the plate's glare makes of the element's light.",
  },
  fringe: {
    apart: 'px',
    how: "How far red or blue of the element's own edges lie from green, as the plate's edges are measured.",
  },
  streak: {
    apart: 'px',
    how: "The element laid over the plate as shutters of several angles would smear it: the length by which the finished picture is told best, against that of the plate's own shutter.",
  },
  softness: {
    how: "The radius by which edges are out of focus: the element's in the finished picture against those of the place that it is compared with.",
  },
  'beyond-clip': {
    how: "Light of the element above the level at which the plate's own channel ends.",
  },
  'early-clip': {
    how: "The level at which the element's own light piles up flat, against the one at which the plate's does.",
  },
  'grain-amount': {
    how: 'Finished picture less the picture without grain, in flat blocks of 16 px that the element covers, over what the plate has at that level.',
  },
  'grain-colour': {
    how: 'The same in the luma and the two colours of the codes: told where one is right and the other is not.',
  },
  'grain-size': {
    unit: 'of 1',
    apart: 'of 1',
    how: 'How alike the grain of neighbouring pixels is: 0 is independent (fine), 1 is the same (coarse).',
  },
  'edge-overshoot': {
    apart: 'share',
    how: "How far straight edges swing beyond their sides, as a share of their step: the element's in the finished file against those of the plate around it, at the same width.",
  },
  'sharp-colour': {
    how: "The blur that makes luma look like colour, on edges that step in both: the element's in the finished file against the plate's around it.",
  },
  'frozen-grain': {
    unit: 'of 1',
    how: 'How alike fine detail is from one frame to the next: 0 is new on every frame, 1 stands still.',
  },
  halo: {
    apart: 'stops',
    how: "The element's own colour in its thin rim against the range of its core, frame by frame.",
  },
  'cut-border': {
    how: "The step across the border of the element's own picture, in code values, means of 24 px along it.",
  },
  'wrong-size': {
    how: "The height of the element's picture, by its pixels at the distance that foot, horizon and known things of the plate tell, against its real height.",
  },
  'wrong-horizon': {
    apart: '°',
    how: "The angle under which the element was filmed, by its camera's height and distance or its tilt, against the one under which the plate looks at that place, by its horizon.",
  },
  slide: {
    how: "Where the element is put, frame by frame, against the plate's own texture about its foot or middle, which is followed anew over short spans; away from it since its first frame, or from frame to frame (rms).",
  },
  stepping: {
    how: "How the element's place goes from frame to frame against how the plate goes there; and which of its pictures are the one before once more.",
  },
  'over-nearer': {
    how: "What the element covers against the site's depth map; or the plate's ground at its foot, against how it looked before something hid it.",
  },
  repeated: {
    how: 'How alike small pictures of the element are, 16 × 16 cells less what they always show: 0 is nothing in common, 1 is the same.',
  },
  'plate-changed': {
    how: 'Finished picture less plate, in code values, means of blocks of 16 px that no treatment reaches.',
  },
  'unanswered-light': {
    how: 'The mean light of the surface in the finished picture over that in the plate, where nothing covers it; expected is what inverse square gives.',
  },
}

/** Label and number with unit: what was measured, what was expected, what is allowed. */
export function tellNumbers(t: Tell): [string, string][] {
  const { unit = t.unit, apart } = TELLS[t.tell] ?? {}
  const allowed: [string, string] = [
    'Allowed',
    apart !== undefined
      ? `±${formatBound(t.limit, apart)}`
      : t.limit >= t.expected
        ? `up to ${formatBound(t.limit, unit)}`
        : `${formatBound(t.limit, unit)} or more`,
  ]
  // Light says nothing about a cast; its sentence does.
  if (t.tell === 'cast' && unit === 'linear') return [allowed]
  return [['Measured', formatNumber(t.measured, unit)], ['Expected', formatNumber(t.expected, unit)], allowed]
}

/** One sentence on the method, where it is known. */
export function tellMethod(t: Tell): string | undefined {
  return TELLS[t.tell]?.how
}
