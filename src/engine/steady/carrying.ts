/** The ways of a followed track, frame by frame, lens and all. */
import { knownAt } from '../../chain/place/follow/track.js'
import { at, inverse, normalised } from '../../chain/place/motion/matrix.js'
import { type BentMotion, bentAt, unbentAt } from '../../chain/place/motion/mesh.js'
import { depth } from '../../chain/place/raster/map.js'
import type { Carrying } from '../../chain/place/steady/view.js'
import type { Lens } from '../track/lens.js'
import type { KnownTrack } from '../tracks.js'

const NOWHERE = [Number.NaN, Number.NaN] as const

export function carryingOf(track: KnownTrack, frame: number, lens: Lens): Carrying {
  const known = knownAt(track, frame)
  const matrix = normalised(known.matrix)
  const { mesh } = track
  if (mesh !== undefined && known.nodes !== undefined) {
    const bent: BentMotion = { matrix, mesh, nodes: known.nodes }
    return {
      there: (x, y) => (depth(matrix, x, y) > 0 ? lens.filmed(bentAt(bent, x, y)) : NOWHERE),
      back: (x, y) => unbentAt(bent, ...lens.straight([x, y])) ?? NOWHERE,
    }
  }
  const turned = inverse(matrix)
  return {
    there: (x, y) => (depth(matrix, x, y) > 0 ? lens.filmed(at(matrix, x, y)) : NOWHERE),
    back: (x, y) => {
      const [u, v] = at(turned, ...lens.straight([x, y]))
      return depth(matrix, u, v) > 0 ? [u, v] : NOWHERE
    },
  }
}
