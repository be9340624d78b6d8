/** How what an element shows moves from frame to frame of its own file, by the flow of small pictures. */
import type { OwnMotion } from '../chain/shutter/ownMotion/model.js'
import type { AlphaKind } from '../chain/source/alpha/apply.js'
import type { NativeFrame, Samples } from '../core/index.js'
import { denseFlow, type Grey, openVision } from '../vision/index.js'
import { type Luma, lumaOf, meant, smallFactor } from './track/luma.js'

/** A frame of the element made small, and where it holds anything. */
interface Small {
  readonly width: number
  readonly height: number
  readonly factor: number
  readonly grey: Grey
  readonly holds: Uint8Array
}

/** Where the pixels of a frame and of the next one go, dx and dy in turn, small px. */
interface Pair {
  readonly there: Float32Array
  readonly back: Float32Array
}

/** Side of the square over which the flow is smoothed, small px. */
const WINDOW = 31
/** Small pixels between nodes. */
const STEP = 4
/** A way back that misses by more is none, small px. */
const CLOSES = 1
/** Less light or cover than that holds nothing, 256 steps. */
const LEAST = 6
/** Of each, those that the next frame asks for again. */
const KEPT = 4

/** Flows of one file, frame by frame. */
export class OwnMotions {
  readonly #frame: (index: number) => Promise<NativeFrame | undefined>
  readonly #alpha: AlphaKind
  readonly #smalls = new Map<number, Promise<Small | undefined>>()
  readonly #pairs = new Map<number, Promise<Pair | undefined>>()

  /** @param frame of the file; undefined beyond its ends */
  constructor(frame: (index: number) => Promise<NativeFrame | undefined>, alpha: AlphaKind) {
    this.#frame = frame
    this.#alpha = alpha
  }

  /** Undefined where a frame stands alone. */
  async at(index: number): Promise<OwnMotion | undefined> {
    const before = index === 0 ? undefined : await this.#pair(index - 1)
    const after = await this.#pair(index)
    const own = await this.#small(index)
    if (own === undefined) return undefined
    const back = before && nodesOf(own, before.back, before.there)
    const forth = after && nodesOf(own, after.there, after.back)
    const [first, last] = [back ?? reversed(forth), forth ?? reversed(back)]
    if (first === undefined || last === undefined) return undefined
    const { width, height, factor, grey } = own
    const [columns, rows] = gridOf(grey)
    return { width, height, step: STEP * factor, columns, rows, ways: Float32Array.of(...first, ...last) }
  }

  #small(index: number): Promise<Small | undefined> {
    return kept(this.#smalls, index, async () => {
      const frame = await this.#frame(index)
      return frame && smallOf(frame, this.#alpha)
    })
  }

  #pair(index: number): Promise<Pair | undefined> {
    return kept(this.#pairs, index, async () => {
      const [a, b] = [await this.#small(index), await this.#small(index + 1)]
      if (a === undefined || b === undefined) return undefined
      const vision = await openVision()
      return {
        there: denseFlow(vision, a.grey, b.grey, WINDOW),
        back: denseFlow(vision, b.grey, a.grey, WINDOW),
      }
    })
  }
}

function kept<T>(all: Map<number, Promise<T>>, index: number, make: () => Promise<T>): Promise<T> {
  const made = all.get(index) ?? make()
  all.delete(index)
  all.set(index, made)
  for (const old of all.keys()) if (all.size > KEPT) all.delete(old)
  return made
}

/** Premultiplied, as far as codes are: where nothing is, nothing is to be followed. */
function smallOf(frame: NativeFrame, alpha: AlphaKind): Small {
  const { width, height, layout, planes } = frame
  const factor = smallFactor(width, height)
  const luma = lumaOf(frame)
  const top = layout.float ? 1 : 2 ** layout.bits - 1
  const cover = layout.alpha && alpha !== 'none' && alpha !== 'on-black' ? planes[3]?.data : undefined
  const seen = cover && alpha === 'straight' ? multiplied(luma, cover, top) : luma
  const held: Luma = cover === undefined ? luma : { width, height, data: cover, step: top / 255 }
  const holds = alpha === 'none' ? undefined : meant(held, factor).data
  const small = meant(seen, factor)
  const grey = {
    width: small.width,
    height: small.height,
    data: Uint8Array.from(small.data, (v) => Math.min(255, Math.round(v))),
  }
  return {
    width,
    height,
    factor,
    grey,
    holds: Uint8Array.from(grey.data, (_, p) => ((holds?.[p] ?? 255) >= LEAST ? 1 : 0)),
  }
}

function multiplied(luma: Luma, cover: Samples, top: number): Luma {
  return { ...luma, data: Float32Array.from(luma.data, (v, p) => (v * (cover[p] as number)) / top) }
}

function gridOf({ width, height }: Grey): readonly [columns: number, rows: number] {
  return [Math.ceil(width / STEP), Math.ceil(height / STEP)]
}

/**
 * Planes of x and y: the mean of those pixels around a node that hold something and come back; where there are none what lies around
 * goes on, for light that moves reaches into what is empty.
 */
function nodesOf({ grey, holds, factor }: Small, there: Float32Array, back: Float32Array): Float32Array {
  const [columns, rows] = gridOf(grey)
  const nodes = columns * rows
  const sums = new Float64Array(2 * nodes)
  const counts = new Uint16Array(nodes)
  for (let y = 0, p = 0; y < grey.height; y++) {
    for (let x = 0; x < grey.width; x++, p++) {
      if (holds[p] === 0 || !closes(there, back, x, y, grey)) continue
      const n = Math.floor(y / STEP) * columns + Math.floor(x / STEP)
      sums[n] = (sums[n] as number) + (there[2 * p] as number)
      sums[nodes + n] = (sums[nodes + n] as number) + (there[2 * p + 1] as number)
      counts[n] = (counts[n] as number) + 1
    }
  }
  const ways = Float32Array.from(sums, (v, i) => (factor * v) / Math.max(counts[i % nodes] as number, 1))
  spread(
    ways,
    Uint8Array.from(counts, (n) => (n > 0 ? 1 : 0)),
    columns,
    rows,
  )
  return ways
}

function closes(there: Float32Array, back: Float32Array, x: number, y: number, grey: Grey): boolean {
  const p = 2 * (y * grey.width + x)
  const [dx, dy] = [there[p] as number, there[p + 1] as number]
  const [u, v] = [Math.round(x + dx), Math.round(y + dy)]
  if (u < 0 || v < 0 || u >= grey.width || v >= grey.height) return false
  const q = 2 * (v * grey.width + u)
  return Math.hypot(dx + (back[q] as number), dy + (back[q + 1] as number)) <= CLOSES
}

/** Ring by ring from what is known. */
function spread(ways: Float32Array, known: Uint8Array, columns: number, rows: number): void {
  const nodes = columns * rows
  let ring = [...known.keys()].filter((n) => known[n] === 1)
  while (ring.length > 0) {
    const next = new Set(ring.flatMap((n) => beside(n, columns, rows)).filter((n) => known[n] === 0))
    const found = [...next].map((n) => {
      const from = beside(n, columns, rows).filter((m) => known[m] === 1)
      const mean = (plane: number) =>
        from.reduce((sum, m) => sum + (ways[plane + m] as number), 0) / from.length
      return [n, mean(0), mean(nodes)] as const
    })
    for (const [n, x, y] of found) {
      ways[n] = x
      ways[nodes + n] = y
      known[n] = 1
    }
    ring = [...next]
  }
}

function beside(n: number, columns: number, rows: number): number[] {
  const [i, j] = [n % columns, Math.floor(n / columns)]
  const out: number[] = []
  for (let y = Math.max(j - 1, 0); y <= Math.min(j + 1, rows - 1); y++)
    for (let x = Math.max(i - 1, 0); x <= Math.min(i + 1, columns - 1); x++)
      if (x !== i || y !== j) out.push(y * columns + x)
  return out
}

function reversed(ways: Float32Array | undefined): Float32Array | undefined {
  return ways?.map((v) => -v)
}
