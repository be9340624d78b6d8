import type { Reading } from '../../../core/index.js'
import type { GrainMeasure } from './measure.js'
import { tableAt } from './model.js'

/** A channel's σ was looked at only within this factor of the outermost levels. */
const BEYOND = 1.6

/** σ of a channel's grain at a linear level with its spread, out of what a meter found. */
export function noiseAt(m: GrainMeasure, c: number, level: number): Reading<number> {
  const { levels } = m
  const [low, high] = [levels[0] as number, levels.at(-1) as number]
  if (!(level > low / BEYOND && level < high * BEYOND)) {
    return {
      cannotTell: `the plate shows its noise from ${low.toPrecision(2)} to ${high.toPrecision(2)} of white only`,
    }
  }
  const variance = tableAt(levels, m.variance[c] as readonly number[], level)
  const spread = tableAt(levels, m.spread[c] as readonly number[], level)
  const sigma = Math.sqrt(variance)
  return {
    value: sigma,
    evidence: {
      kind: 'measured',
      frames: [],
      method: 'between the levels measured',
      spread: spread / (2 * sigma),
      confidence: 0.8,
    },
  }
}
