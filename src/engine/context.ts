import type { GrainSample } from '../chain/sensor/grain/measure.js'
import type { Shot } from '../shot/schema.js'
import { type ShotSources, shotRange } from './plan.js'

/** What an element's treatments are derived from. */
export interface FitContext {
  readonly shot: Shot
  /** The document's own: its files are relative to it. */
  readonly folder: string
  readonly sources: ShotSources
  /** Pairs of plate frames in linear light, ascending. */
  readonly samples: readonly GrainSample[]
}

/** The sampled frame nearest to a frame of the shot. */
export function sampleNear(c: FitContext, frame: number): GrainSample | undefined {
  const wanted = shotRange(c.shot, c.sources.plate.info.frameCount).first + frame
  return [...c.samples].sort((a, b) => Math.abs(a.frame - wanted) - Math.abs(b.frame - wanted))[0]
}
