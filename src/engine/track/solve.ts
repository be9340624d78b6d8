/** From what was seen of a track to its motion on every frame: the place link judges, this hands over. */

import type { Seen } from '../../chain/place/motion/seen.js'
import { solveMotion } from '../../chain/place/motion/solve.js'
import { solveSurface } from '../../chain/place/motion/surface/solve.js'
import { Problem } from '../../core/index.js'
import type { TrackData } from '../../shot/index.js'
import type { Place } from '../../vision/index.js'

/** What was seen, in pixels of a plate without lens distortion. */
export type Evidence = Omit<Seen, 'motion' | 'lens' | 'straight'>

export type Solved = Pick<TrackData, 'motion' | 'why' | 'mesh' | 'frames' | 'said'>

/**
 * @param motion asked for; the one that the evidence allows when absent
 * @param region outline of what bends, on the reference frame
 * @throws Problem as `solveMotion`; `track.mesh-region`
 */
export function solveTrack(
  evidence: Evidence,
  motion?: TrackData['motion'],
  lens?: Seen['lens'],
  region?: readonly Place[],
): Solved {
  if (motion === 'mesh') return solveBending(evidence, region)
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

function solveBending(evidence: Evidence, region: readonly Place[] | undefined): Solved {
  if (region === undefined)
    throw new Problem({
      code: 'track.mesh-region',
      what: 'A surface that bends needs its outline',
      expected: 'a track with a region',
      received: 'none',
      remedy: 'Give the track a region, or another motion.',
    })
  const { mesh, why, frames, said } = solveSurface(evidence, region)
  return {
    motion: 'mesh',
    why,
    mesh: { ...mesh },
    frames: frames.map((f) => ({ ...f, matrix: [...f.matrix], nodes: [...f.nodes] })),
    said: [...said],
  }
}
