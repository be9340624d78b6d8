/** A case followed as region, points and camera, against the motion that its frames were painted with. */
import { followTracks } from '../../src/engine/track/follow.js'
import { solveTrack } from '../../src/engine/track/solve.js'
import { type Case, DRIFT, POINTS, REGION, SIZE } from './cases.js'
import { at, plateOf } from './plate.js'

export interface Row {
  readonly case: string
  /** Root mean square of the distance between where a place is carried and where it lies, px; of frames that are known. */
  readonly rms: number
  /** Length of that error's mean over the last ten frames, of the worst place, px. */
  readonly drift: number
  readonly limit: number
  readonly lost: number
  readonly bridged: number
  readonly motion: string
}

export const STRAIGHT = {
  straight: (p: readonly [number, number]) => p,
  filmed: (p: readonly [number, number]) => p,
}
const LAST = 10

export async function scored(one: Case): Promise<Row[]> {
  const { shot, name, limit } = one
  const asked = { reference: 0, first: 0, count: shot.frames }
  const tracks = [
    { id: 'region', ...asked, region: REGION },
    { id: 'points', ...asked, points: POINTS },
    { id: 'camera', ...asked },
  ]
  const followed = await followTracks(plateOf(shot), 0, tracks, STRAIGHT, () => {})
  return tracks.map(({ id }, i) => {
    const { motion, frames } = solveTrack(followed[i]!.evidence)
    const places = id === 'points' ? POINTS : id === 'region' ? REGION : quarters()
    const known = frames.filter((f) => f.state !== 'lost')
    const errors = places.map(([x, y]) =>
      known.map((f) => {
        const [u, v] = at(f.matrix, x, y)
        const [s, t] = at(shot.motion(f.frame), x, y)
        return [u - s, v - t] as const
      }),
    )
    const all = errors.flat()
    const rms = Math.sqrt(all.reduce((sum, [x, y]) => sum + x * x + y * y, 0) / all.length)
    const drift = Math.max(...errors.map((e) => Math.hypot(mean(e.slice(-LAST), 0), mean(e.slice(-LAST), 1))))
    const count = (state: string) => frames.filter((f) => f.state === state).length
    const three = (v: number) => Number(v.toFixed(3))
    return {
      case: `${name}-${id}`,
      rms: three(rms),
      drift: three(drift),
      limit,
      lost: count('lost'),
      bridged: count('bridged'),
      motion,
    }
  })
}

export function fine(r: Row): boolean {
  return r.rms <= r.limit && r.drift <= DRIFT && r.lost === 0
}

function quarters(): readonly (readonly [number, number])[] {
  const { width, height } = SIZE
  return [1, 3].flatMap((i) => [1, 3].map((j) => [(i * width) / 4, (j * height) / 4] as const))
}

function mean(errors: readonly (readonly [number, number])[], k: 0 | 1): number {
  return errors.reduce((sum, e) => sum + e[k], 0) / errors.length
}
