/**
 * Two photographs of one painted wall, some 30° apart, as two frames: the tracker carries the wall over the jump, and the matrix is
 * held against the published one. Source: [mikolajczyk2005], images and matrix as Debian's `opencv-doc` has them.
 */
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { followTracks } from '../../src/engine/track/follow.js'
import { solveTrack } from '../../src/engine/track/solve.js'
import { openSource, type Source } from '../../src/media/index.js'
import { at, type Motion } from './plate.js'
import { type Row, STRAIGHT } from './score.js'

const FOLDER = '/usr/share/doc/opencv-doc/examples/data'
const [FIRST, SECOND, MATRIX] = ['graf1.png', 'graf3.png', 'H1to3p.xml'].map((f) => join(FOLDER, f)) as [
  string,
  string,
  string,
]
export const grafThere = [FIRST, SECOND, MATRIX].every((f) => existsSync(f))

/** Choices, px: the published matrix is itself good to about a pixel. */
const LIMIT = 1.5
const WORST = 2.5

/**
 * Distance of the first picture's four corners, as carried by our matrix, from where the published one carries them: root mean
 * square, and of the worst corner (as `drift`), px.
 */
export async function grafRow(): Promise<Row> {
  const wall = [
    [0, 0],
    [800, 0],
    [800, 640],
    [0, 640],
  ] as const
  const asked = { id: 'wall', reference: 0, first: 0, count: 2, region: wall }
  const [found] = await followTracks(await pair(), 0, [asked], STRAIGHT, () => {})
  const { motion, frames } = solveTrack(found!.evidence)
  const off = wall.map((p) => {
    const [x, y] = at(frames[1]!.matrix, p[0], p[1])
    const [u, v] = at(published(), p[0], p[1])
    return Math.hypot(x - u, y - v)
  })
  const three = (v: number) => Number(v.toFixed(3))
  const rms = Math.sqrt(off.reduce((sum, v) => sum + v * v, 0) / off.length)
  const lost = frames.filter((f) => f.state !== 'tracked').length
  return {
    ...{ case: 'graf', rms: three(rms), drift: three(Math.max(...off)), limit: LIMIT },
    ...{ lost, bridged: 0, motion },
  }
}

export function grafFine(r: Row): boolean {
  return r.rms <= r.limit && r.drift <= WORST && r.lost === 0
}

/** It has pixel centres at whole numbers. */
function published(): Motion {
  const text = /<data>([^<]*)<\/data>/.exec(readFileSync(MATRIX, 'utf8'))?.[1] ?? ''
  const m = text.trim().split(/\s+/).map(Number)
  const shift = (by: number): Motion => [1, 0, by, 0, 1, by, 0, 0, 1]
  return [shift(0.5), m, shift(-0.5)].reduce(times)
}

function times(p: Motion, q: Motion): Motion {
  return Array.from({ length: 9 }, (_, i) =>
    [0, 1, 2].reduce((sum, k) => sum + p[3 * Math.floor(i / 3) + k]! * q[3 * k + (i % 3)]!, 0),
  )
}

/** The two pictures as a clip. */
async function pair(): Promise<Source> {
  const [a, b] = await Promise.all([openSource(FIRST, { still: true }), openSource(SECOND, { still: true })])
  return {
    ...a,
    info: { ...a.info, frameCount: 2 },
    async *frames(first = 0, count = 2) {
      for (let f = first; f < Math.min(2, first + count); f++) yield* (f === 0 ? a : b).frames(0, 1)
    },
    reach: () => 1,
    close: async () => {
      await Promise.all([a.close(), b.close()])
    },
  }
}
