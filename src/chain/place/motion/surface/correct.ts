/**
 * Corrections of a surface by hand. On its frame the surface goes through the place that was set; around it the move fades as a
 * bent plate on an even bed does, within about a quarter of the mesh:
 *
 *   Σ |B·d − m|² · P  +  Σ |dₖ|² · cell / L⁴  +  bending energy        is least        m  how far the surface was off there  px
 *
 *   d  moves of the nodes, px        L  a quarter of the mesh's mean side, px        P  large: the place itself holds
 *
 * Its neighbours on both sides get a share that falls to none 12 frames further (half a second of film, our choice), at the next
 * corrected frame or at the reference frame. Shares do not cross a jump.
 */

import type { Place } from '../matrix.js'
import type { Mesh } from '../mesh.js'
import { meanSquare, mixed, type Where } from '../path.js'
import type { Correction } from '../seen.js'
import { leastNodes } from './fit.js'
import { nodeAt, nodeCount, sharesAt } from './grid.js'
import type { KnownSurface } from './known.js'

const REACH = 12
const HOLDS = 1e6
/** Of a place set to the nearest pixel, px². */
const NEAREST_PIXEL = 1 / 12

/** @param corrections their frames counted from the first of `known`; @param reference its index among them */
export function handed(
  mesh: Mesh,
  known: readonly KnownSurface[],
  corrections: readonly Correction[],
  piece: readonly number[],
  reference: number,
): readonly KnownSurface[] {
  const byFrame = new Map<number, Correction[]>()
  for (const c of corrections) byFrame.set(c.frame, [...(byFrame.get(c.frame) ?? []), c])
  const moves = [...byFrame].map(([frame, list]) => {
    return { frame, by: moveOf(mesh, (known[frame] as KnownSurface).where, list) }
  })
  const stops = [...byFrame.keys(), reference]
  return known.map((k, i) => {
    if (i === reference) return k
    let [where, variance] = [k.where, k.variance]
    for (const { frame, by } of moves) {
      const share = piece[frame] === piece[i] ? shareAt(i, frame, stops) : 0
      where = mixed(1, where, share, by)
      variance += share * (1 - share) * meanSquare(by)
    }
    if (!byFrame.has(i)) return { ...k, where, variance }
    const own = k.state === 'tracked' ? k.variance : 0
    return { state: 'corrected', where, variance: Math.max(own, NEAREST_PIXEL) }
  })
}

function shareAt(i: number, frame: number, stops: readonly number[]): number {
  if (i === frame) return 1
  const way = Math.sign(i - frame)
  const next = Math.min(REACH, ...stops.map((s) => way * (s - frame)).filter((d) => d > 0))
  return Math.max(0, 1 - Math.abs(i - frame) / next)
}

function moveOf(mesh: Mesh, where: Where, list: readonly Correction[]): Where {
  const count = nodeCount(mesh)
  const bed = Array.from({ length: count }, (_, k) => nodeAt(mesh, k))
  const cell = (mesh.width * mesh.height) / ((mesh.columns - 1) * (mesh.rows - 1))
  const far = (mesh.width + mesh.height) / 8
  const missed = list.map(({ from, to }): Place => {
    const [x, y] = carriedTo(mesh, where, from)
    return [to[0] - x, to[1] - y]
  })
  const none: Place = [0, 0]
  const moved = leastNodes(
    mesh,
    { places: [...list.map((c) => c.from), ...bed], rest: [...missed, ...bed.map(() => none)] },
    Float64Array.from([...list.map(() => HOLDS), ...bed.map(() => cell / far ** 4)]),
    1,
  )
  return moved ?? new Float64Array(2 * count)
}

function carriedTo(mesh: Mesh, where: Where, p: Place): Place {
  let [x, y] = [0, 0]
  for (const [k, share] of sharesAt(mesh, p)) {
    x += share * (where[2 * k] as number)
    y += share * (where[2 * k + 1] as number)
  }
  return [x, y]
}
