/** A bending cloth followed as a mesh, against where its places lie in truth. */
import { bentAt } from '../../src/chain/place/motion/mesh.js'
import { followTracks } from '../../src/engine/track/follow.js'
import { solveTrack } from '../../src/engine/track/solve.js'
import { type Cloth, carried, clothPlate } from './cloth.js'
import { type Row, STRAIGHT } from './score.js'
import type { Surface } from './texture.js'

export interface ClothRow extends Row {
  /** Distance below which 95 of 100 nodes lie off, px. */
  readonly p95: number
  /** Largest offset of a node from the plane, px. */
  readonly bent: number
}

/** Mean over the nodes and frames, and of 95 of 100 of them, px. */
const LIMITS = { mean: 0.3, p95: 0.8 } as const

export function cloths(
  surface: Surface,
  frames = 40,
  size = { width: 480, height: 270 },
): Record<string, Cloth> {
  const still = { ...size, frames, surface, noise: 2, wave: 0, crease: 0, turn: 0, way: [0, 0] } as const
  return {
    still,
    bends: { ...still, wave: 14, turn: 18, way: [0.5, 0.2] },
    crease: { ...still, wave: 9, crease: 12, turn: 18, way: [0.5, 0.2] },
  }
}

export async function clothRow(name: string, c: Cloth): Promise<ClothRow> {
  const { width: w, height: h } = c
  const region = [
    [0.27 * w, 0.22 * h],
    [0.73 * w, 0.22 * h],
    [0.73 * w, 0.78 * h],
    [0.27 * w, 0.78 * h],
  ] as const
  const asked = { id: 'cloth', reference: 0, first: 0, count: c.frames, region, bends: true }
  const [found] = await followTracks(clothPlate(c), 0, [asked], STRAIGHT, () => {})
  const { mesh, frames } = solveTrack(found!.evidence, 'mesh', undefined, region)
  const m = mesh!
  const errors = frames.map((f) => {
    const motion = { matrix: f.matrix as never, mesh: m, nodes: f.nodes! }
    return Array.from({ length: m.columns * m.rows }, (_, k) => {
      const x = m.x + (m.width * (k % m.columns)) / (m.columns - 1)
      const y = m.y + (m.height * Math.floor(k / m.columns)) / (m.rows - 1)
      const [u, v] = bentAt(motion, x, y)
      const [p, q] = carried(c, f.frame, x, y)
      return Math.hypot(u - p, v - q)
    })
  })
  const all = errors.flat().sort((a, b) => a - b)
  const last = errors.slice(-10).flat()
  const mean = (v: readonly number[]) => Number((v.reduce((a, b) => a + b, 0) / v.length).toFixed(3))
  return {
    case: `cloth-${name}`,
    ...{ rms: mean(all), drift: mean(last), limit: LIMITS.mean },
    p95: Number(all[Math.floor(0.95 * all.length)]!.toFixed(3)),
    bent: Number(Math.max(...frames.flatMap((f) => f.nodes!.map(Math.abs))).toFixed(3)),
    lost: frames.filter((f) => f.state === 'lost').length,
    bridged: frames.filter((f) => f.state === 'bridged').length,
    motion: 'mesh',
  }
}

export function clothFine(r: ClothRow): boolean {
  return r.rms <= r.limit && r.p95 <= LIMITS.p95 && r.lost === 0
}
