import type { Half } from '../chain/light/match/measure.js'
import type { GrainSample } from '../chain/sensor/grain/measure.js'
import type { Reading, Rgb } from '../core/index.js'
import type { Shot } from '../shot/schema.js'
import { type ShotSources, shotRange } from './plan.js'

/** What an element's treatments are derived from. */
export interface FitContext {
  readonly shot: Shot
  readonly sources: ShotSources
  /** Pairs of plate frames in linear light, ascending. */
  readonly samples: readonly GrainSample[]
  /** Cells of a compared place or card that are looked at: the fit takes one half, the check the other. */
  readonly half: Half
  /** Light of the place off that half of the grey card, where the shot has one. */
  readonly card: Reading<Rgb> | undefined
}

/** The sampled frame nearest to a frame of the shot. */
export function sampleNear(c: FitContext, frame: number): GrainSample | undefined {
  const wanted = shotRange(c.shot, c.sources.plate.info.frameCount).first + frame
  return [...c.samples].sort((a, b) => Math.abs(a.frame - wanted) - Math.abs(b.frame - wanted))[0]
}
