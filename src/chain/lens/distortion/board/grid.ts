/**
 * A regular pattern out of places: from a good one to its neighbours along two ways, each next one where the last step says it must
 * be, as long as places are found there. The pattern may bend, lean and end anywhere; which of its places is the first says nothing.
 */
import { median } from '../../../../core/index.js'
import type { Node } from './saddles.js'

/** A place of the picture and where it belongs in the pattern, in steps. */
export interface GridPoint {
  readonly i: number
  readonly j: number
  readonly x: number
  readonly y: number
}

type Step = readonly [number, number]

/** Places from which a pattern is begun, at most. */
const SEEDS = 40
/** How far off the next place may be, in steps. */
const OFF = 0.3
/** How far a place may be off the middle of its two neighbours, in steps: patterns bend little. */
const BENT = 0.12
/** Of the pattern's usual strength: less is something beside it. */
const WEAK = 0.15
/** Cosine of twice the angle between the quarters of neighbours: they are opposite. */
const OPPOSITE = -0.5

/** The largest pattern. */
export function gridOf(nodes: readonly Node[]): GridPoint[] {
  const near = finder(nodes)
  let best: GridPoint[] = []
  const used = new Set<Node>()
  let begun = 0
  for (const seed of nodes) {
    if (begun >= SEEDS || best.length > nodes.length / 2) break
    if (used.has(seed)) continue
    begun++
    const ways = waysFrom(seed, near)
    if (ways === undefined) continue
    const grown = grow(seed, ways, near)
    for (const node of grown.keys()) used.add(node)
    const tidy = held(straightened(strong(grown)).map(([{ x, y }, [i, j]]) => ({ i, j, x, y })))
    if (tidy.length > best.length) best = tidy
  }
  return best
}

type Near = (x: number, y: number, radius: number) => { node: Node; distance: number }[]

/** Nodes within a radius, the nearest first. */
function finder(nodes: readonly Node[]): Near {
  const CELL = 32
  const cells = new Map<number, Node[]>()
  const key = (i: number, j: number) => i * 65536 + j
  for (const n of nodes) {
    const k = key(Math.floor(n.x / CELL), Math.floor(n.y / CELL))
    cells.set(k, [...(cells.get(k) ?? []), n])
  }
  return (x, y, radius) => {
    const found: { node: Node; distance: number }[] = []
    for (let i = Math.floor((x - radius) / CELL); i <= Math.floor((x + radius) / CELL); i++) {
      for (let j = Math.floor((y - radius) / CELL); j <= Math.floor((y + radius) / CELL); j++) {
        for (const node of cells.get(key(i, j)) ?? []) {
          const distance = Math.sqrt((node.x - x) ** 2 + (node.y - y) ** 2)
          if (distance <= radius) found.push({ node, distance })
        }
      }
    }
    return found.toSorted((a, b) => a.distance - b.distance)
  }
}

function opposite(a: Node, b: Node): boolean {
  if (a.turn === undefined || b.turn === undefined) return true
  return a.turn[0] * b.turn[0] + a.turn[1] * b.turn[1] < OPPOSITE
}

/** Two steps to neighbours that lie across each other. */
function waysFrom(seed: Node, near: Near): readonly [Step, Step] | undefined {
  for (let radius = 16; radius <= 512; radius *= 2) {
    const others = near(seed.x, seed.y, radius).filter(
      ({ node, distance }) => distance > 0 && opposite(seed, node),
    )
    const [first] = others
    if (first === undefined) continue
    const a: Step = [first.node.x - seed.x, first.node.y - seed.y]
    for (const { node, distance } of others) {
      const b: Step = [node.x - seed.x, node.y - seed.y]
      const across = Math.abs(a[0] * b[1] - a[1] * b[0]) / (first.distance * distance)
      if (across > 0.5 && distance < 3 * first.distance) return [a, b]
    }
  }
  return undefined
}

function grow(seed: Node, [a, b]: readonly [Step, Step], near: Near): Map<Node, readonly [number, number]> {
  interface Placed {
    readonly node: Node
    readonly i: number
    readonly j: number
    readonly steps: readonly [Step, Step]
  }
  const places = new Map<Node, readonly [number, number]>([[seed, [0, 0]]])
  const taken = new Set(['0,0'])
  const queue: Placed[] = [{ node: seed, i: 0, j: 0, steps: [a, b] }]
  for (let at = 0; at < queue.length; at++) {
    const { node, i, j, steps } = queue[at] as Placed
    for (const [way, sign] of [
      [0, 1],
      [0, -1],
      [1, 1],
      [1, -1],
    ] as const) {
      const [p, q] = way === 0 ? [i + sign, j] : [i, j + sign]
      if (taken.has(`${p},${q}`)) continue
      const [dx, dy] = steps[way]
      const long = Math.sqrt(dx * dx + dy * dy)
      const found = near(node.x + sign * dx, node.y + sign * dy, OFF * long).find(
        (f) => !places.has(f.node) && opposite(node, f.node),
      )?.node
      if (found === undefined) continue
      const own: Step = [sign * (found.x - node.x), sign * (found.y - node.y)]
      places.set(found, [p, q])
      taken.add(`${p},${q}`)
      queue.push({ node: found, i: p, j: q, steps: way === 0 ? [own, steps[1]] : [steps[0], own] })
    }
  }
  return places
}

type Grown = readonly (readonly [Node, readonly [number, number]])[]

/** Without what is much weaker than the rest. */
function strong(grown: ReadonlyMap<Node, readonly [number, number]>): Grown {
  const usual = median([...grown.keys()].map((n) => n.strength))
  return [...grown].filter(([n]) => n.strength > WEAK * usual)
}

/** Without places that are off the line of their neighbours on both sides. */
function straightened(grown: Grown): Grown {
  const by = new Map(grown.map(([n, [i, j]]) => [`${i},${j}`, n]))
  const off = (p: Node, [i, j]: readonly [number, number], di: number, dj: number): number => {
    const [a, b] = [by.get(`${i - di},${j - dj}`), by.get(`${i + di},${j + dj}`)]
    if (a === undefined || b === undefined) return 0
    const long = Math.sqrt((b.x - a.x) ** 2 + (b.y - a.y) ** 2) / 2
    return Math.sqrt((p.x - (a.x + b.x) / 2) ** 2 + (p.y - (a.y + b.y) / 2) ** 2) / long
  }
  return grown.filter(([n, at]) => Math.max(off(n, at, 1, 0), off(n, at, 0, 1)) < BENT)
}

/** Those that have neighbours along both ways, among such. */
function held(points: readonly GridPoint[]): GridPoint[] {
  let left = [...points]
  for (;;) {
    const has = new Set(left.map((p) => `${p.i},${p.j}`))
    const next = left.filter(
      ({ i, j }) =>
        (has.has(`${i - 1},${j}`) || has.has(`${i + 1},${j}`)) &&
        (has.has(`${i},${j - 1}`) || has.has(`${i},${j + 1}`)),
    )
    if (next.length === left.length) return left
    left = next
  }
}
