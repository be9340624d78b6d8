import type { Param } from '../../../core/index.js'

export const glareParams: readonly Param[] = [
  {
    name: 'lens.glareShare',
    unit: '–',
    count: 1,
    min: 0,
    max: 0.5,
    default: [0],
    meaning: "Share of a bright light that the plate's lens draws as a skirt around it; 0 draws none.",
    source: 'mccann2007',
  },
  {
    name: 'lens.glareWidth',
    unit: 'px',
    count: 1,
    min: 0.5,
    max: 128,
    default: [16],
    meaning: 'Width of that skirt in plate pixels: σ of its core; its foot is three times as wide.',
    source: 'common practice',
  },
]
