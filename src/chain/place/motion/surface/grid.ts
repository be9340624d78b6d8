/** The mesh of a region: nodes over its bounds, and how much each weighs at a place. */
import type { Place } from '../matrix.js'
import type { Mesh } from '../mesh.js'

/**
 * Longest side of a cell, px: between nodes the surface is a bilinear patch, which is off by side²/8 times its curvature. A bend of
 * a hand's breadth with a relief of a tenth of that is then off by less than 0.1 px. And most nodes: what is more costs time alone.
 */
const SIDE = 10
const MOST = 600
const LEAST = 4

/** @throws nothing: a region of any size has a mesh of at least 4 × 4 nodes */
export function meshOver(region: readonly Place[]): Mesh {
  const [xs, ys] = [region.map((p) => p[0]), region.map((p) => p[1])]
  const [x, y] = [Math.min(...xs), Math.min(...ys)]
  const [width, height] = [Math.max(1, Math.max(...xs) - x), Math.max(1, Math.max(...ys) - y)]
  const side = Math.max(SIDE, Math.sqrt((width * height) / MOST))
  const nodes = (length: number) => Math.max(LEAST, Math.ceil(length / side) + 1)
  return { x, y, width, height, columns: nodes(width), rows: nodes(height) }
}

/** Place of node k on the reference frame. */
export function nodeAt(mesh: Mesh, k: number): Place {
  const { x, y, width, height, columns, rows } = mesh
  return [x + (width * (k % columns)) / (columns - 1), y + (height * Math.floor(k / columns)) / (rows - 1)]
}

export function nodeCount({ columns, rows }: Mesh): number {
  return columns * rows
}

/** Four nodes about a place and their shares; beyond the mesh those of its border's nearest place. */
export function sharesAt(mesh: Mesh, [px, py]: Place): readonly (readonly [node: number, share: number])[] {
  const [i, s] = cell((px - mesh.x) / mesh.width, mesh.columns)
  const [j, t] = cell((py - mesh.y) / mesh.height, mesh.rows)
  const n = j * mesh.columns + i
  return [
    [n, (1 - s) * (1 - t)],
    [n + 1, s * (1 - t)],
    [n + mesh.columns, (1 - s) * t],
    [n + mesh.columns + 1, s * t],
  ]
}

function cell(share: number, nodes: number): [number, number] {
  const at = Math.min(Math.max(share, 0), 1) * (nodes - 1)
  const cell = Math.min(Math.floor(at), nodes - 2)
  return [cell, at - cell]
}
