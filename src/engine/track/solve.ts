/** From what was seen of a track to its motion on every frame: the place link judges, this hands over. */

import type { Seen } from '../../chain/place/motion/seen.js'
import { solveMotion } from '../../chain/place/motion/solve.js'
import { Problem } from '../../core/index.js'
import type { TrackData } from '../../shot/index.js'

/** What was seen, in pixels of a plate without lens distortion. */
export type Evidence = Omit<Seen, 'motion' | 'lens' | 'straight'>

export type Solved = Pick<TrackData, 'motion' | 'why' | 'frames' | 'said'>

/**
 * @param motion asked for; the one that the evidence allows when absent
 * @throws Problem as `solveMotion`; `track.no-mesh`
 */
export function solveTrack(evidence: Evidence, motion?: TrackData['motion'], lens?: Seen['lens']): Solved {
  if (motion === 'mesh')
    throw new Problem({
      code: 'track.no-mesh',
      what: 'A surface that bends is not followed yet',
      expected: 'translation, rotation, similarity, affine or homography',
      received: motion,
    })
  const seen = {
    ...evidence,
    ...(motion === undefined ? {} : { motion }),
    ...(lens === undefined ? {} : { lens }),
  }
  const { frames, said, ...solved } = solveMotion(seen)
  return {
    motion: solved.motion,
    why: solved.why,
    frames: frames.map((f) => ({ ...f, matrix: [...f.matrix] })),
    said: [...said],
  }
}
