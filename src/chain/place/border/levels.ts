/**
 * Border contact of a whole clip: how strongly each side shows the element on a frame, kept as counts of cells above a ladder of
 * limits, so that the limit can be chosen once the clip's floor and peak are known. Memory a frame: 4 sides × 49 counts.
 *
 *   limit k = 2^(−k/4), k = 0 … 48      1 down to 1/4096; a limit is rounded up to the next, by at most 19 %
 */
import type { FloatImage } from '../../../core/index.js'
import { type BorderContact, CELL, LEAST, type Sides } from './measure.js'

const STEPS = 49
const EACH = 4

export interface BorderLevels {
  readonly counts: readonly [Uint16Array, Uint16Array, Uint16Array, Uint16Array]
  readonly cells: readonly [number, number, number, number]
  readonly strongest: number
}

/** What counts as presence: cover, light, or whichever is more. */
export type Presence = 'cover' | 'light' | 'both'

/** @param strips linear light and alpha; 3 pixels deep, each as long as its side */
export function borderLevels(strips: Sides, presence: Presence): BorderLevels {
  let strongest = 0
  const sides = [strips.top, strips.right, strips.bottom, strips.left].map((strip) => {
    const counts = new Uint16Array(STEPS)
    const { width, height } = strip.region
    const along = width >= height && height <= CELL
    const cells = Math.floor((along ? width : height) / CELL)
    for (let k = 0; k < cells; k++) {
      const p = along ? meanOf(strip, k * CELL, 0, presence) : meanOf(strip, 0, k * CELL, presence)
      strongest = Math.max(strongest, p)
      // All limits below p: the first of them onwards.
      const first = p <= 0 ? STEPS : Math.max(0, Math.floor(-EACH * Math.log2(p)) + 1)
      if (first < STEPS) counts[first] = (counts[first] as number) + 1
    }
    for (let k = 1; k < STEPS; k++) counts[k] = (counts[k] as number) + (counts[k - 1] as number)
    return { counts, cells }
  }) as [Edge, Edge, Edge, Edge]
  const [t, r, b, l] = sides
  return {
    counts: [t.counts, r.counts, b.counts, l.counts],
    cells: [t.cells, r.cells, b.cells, l.cells],
    strongest,
  }
}

interface Edge {
  readonly counts: Uint16Array
  readonly cells: number
}

/** Contact where presence beyond `floor` exceeds `limit`. @param peak what full presence is */
export function contactAt(levels: BorderLevels, floor: number, limit: number, peak: number): BorderContact {
  const over = Math.max(floor, 0) + limit
  const step = Math.min(STEPS - 1, Math.max(0, Math.floor(-EACH * Math.log2(over))))
  const hits = levels.counts.map((counts) => counts[step] as number)
  const share = (k: number) => {
    const cells = levels.cells[k] as number
    return cells === 0 ? 0 : (hits[k] as number) / cells
  }
  const touches = hits.some((n, k) => n > 0 && n >= Math.min(LEAST, levels.cells[k] as number))
  const strongest = hits.every((n) => n === 0) ? 0 : Math.min((levels.strongest - floor) / peak, 1)
  return { top: share(0), right: share(1), bottom: share(2), left: share(3), strongest, touches }
}

function meanOf({ region, data }: FloatImage, x: number, y: number, presence: Presence): number {
  const [w, h] = [Math.min(CELL, region.width), Math.min(CELL, region.height)]
  const sums = [0, 0, 0, 0]
  for (let v = y; v < y + h; v++)
    for (let u = x; u < x + w; u++) {
      const i = 4 * (v * region.width + u)
      for (let c = 0; c < 4; c++) sums[c] = (sums[c] as number) + (data[i + c] as number)
    }
  const light = Math.max(sums[0] as number, sums[1] as number, sums[2] as number)
  const cover = sums[3] as number
  const most = presence === 'cover' ? cover : presence === 'light' ? light : Math.max(light, cover)
  return Number.isFinite(most) ? most / (w * h) : 0
}
