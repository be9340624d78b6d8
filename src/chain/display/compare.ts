/**
 * Plate changed: the finished file differs from the plate where no treatment touches.
 *
 * Means of 16×16 blocks that lie at least 16 pixels from any touched pixel, in code values: a codec's own error averages out,
 * a shifted level does not. Limit: 0.006 of the code range, 1.5 steps of 8 bits (a choice), for the middle of all blocks, and
 * for all but the worst 0.2 % of them. What a codec leaves in a block's colour is normal about 0: there the limit rises to 5 σ of
 * the blocks, robustly, and at most to twice itself.
 */
import { median, quantile, type Region, robustSigma } from '../../core/index.js'
import type { Comparison, Seen } from '../compare.js'

const BLOCK = 16
const LIMIT = 0.006
const SHARE = 0.998
const SIGMAS = 5

export interface PlateLook {
  readonly frame: number
  /** Change that all but the worst 0.2 % of the blocks stay under, or that of the middle block; of the channel that is worst. */
  readonly change: number
  /** What it may be. */
  readonly limit: number
  readonly region: Region
  readonly blocks: number
}

export function lookAtPlate(seen: Seen): PlateLook {
  const { width, height } = seen.plate.region
  const near = touchedBlocks(seen.touched, width, height)
  const columns = Math.floor(width / BLOCK)
  const rows = Math.floor(height / BLOCK)
  const changes: [number[], number[], number[]] = [[], [], []]
  let worst = { change: -1, x: 0, y: 0 }
  for (let by = 0; by < rows; by++) {
    for (let bx = 0; bx < columns; bx++) {
      if (near(bx, by)) continue
      const change = blockChange(seen, bx * BLOCK, by * BLOCK, width)
      for (const c of [0, 1, 2] as const) changes[c].push(change[c] as number)
      const most = Math.max(...change.map(Math.abs))
      if (most > worst.change) worst = { change: most, x: bx * BLOCK, y: by * BLOCK }
    }
  }
  const blocks = changes[0].length
  const channels = blocks === 0 ? [] : changes.map(channelChange)
  const out = channels.sort((a, b) => b.change / b.limit - a.change / a.limit)[0]
  return {
    frame: seen.frame,
    ...(out ?? { change: 0, limit: LIMIT }),
    region: { x: worst.x, y: worst.y, width: BLOCK, height: BLOCK },
    blocks,
  }
}

/** What the middle of the blocks has changed by where that is too much, else the worst of them; with its limit. */
function channelChange(changes: readonly number[]): { change: number; limit: number } {
  const tail = quantile(Float64Array.from(changes, Math.abs).sort(), SHARE)
  const middle = median(changes)
  const noise = SIGMAS * robustSigma(changes)
  if (Math.abs(middle) > LIMIT) return { change: Math.abs(middle), limit: LIMIT }
  return { change: tail, limit: Math.min(Math.max(LIMIT, noise), 2 * LIMIT) }
}

/** Whether a block or one of its neighbours holds a touched pixel. */
function touchedBlocks(
  touched: Uint8Array,
  width: number,
  height: number,
): (bx: number, by: number) => boolean {
  const columns = Math.ceil(width / BLOCK)
  const rows = Math.ceil(height / BLOCK)
  const hit = new Uint8Array(columns * rows)
  for (let p = 0; p < touched.length; p++) {
    if (touched[p] === 0) continue
    const x = p % width
    hit[Math.floor((p - x) / width / BLOCK) * columns + Math.floor(x / BLOCK)] = 1
  }
  return (bx, by) => {
    for (let y = Math.max(by - 1, 0); y <= Math.min(by + 1, rows - 1); y++) {
      for (let x = Math.max(bx - 1, 0); x <= Math.min(bx + 1, columns - 1); x++)
        if (hit[y * columns + x] === 1) return true
    }
    return false
  }
}

function blockChange(seen: Seen, x0: number, y0: number, width: number): number[] {
  const sum = [0, 0, 0]
  for (let y = y0; y < y0 + BLOCK; y++) {
    for (let x = x0; x < x0 + BLOCK; x++) {
      const i = 4 * (y * width + x)
      for (let c = 0; c < 3; c++) {
        sum[c] =
          (sum[c] as number) +
          (seen.renderedCode.data[i + c] as number) -
          (seen.plateCode.data[i + c] as number)
      }
    }
  }
  return sum.map((v) => v / (BLOCK * BLOCK))
}

export function comparePlate(looks: readonly PlateLook[]): Comparison {
  if (looks.every((l) => l.blocks === 0)) {
    return {
      verdicts: [],
      undecided: [{ tell: 'plate-changed', link: 'display', why: 'the elements touch the whole frame' }],
      measured: {},
    }
  }
  const worst = [...looks].sort((a, b) => b.change / b.limit - a.change / a.limit)[0] as PlateLook
  const out = looks.filter((l) => l.change > l.limit)
  const measured = { change: [worst.change] }
  if (out.length === 0) return { verdicts: [], undecided: [], measured }
  return {
    verdicts: [
      {
        tell: 'plate-changed',
        link: 'display',
        frames: out.map((l) => l.frame),
        region: worst.region,
        unit: 'code',
        measured: worst.change,
        expected: 0,
        limit: worst.limit,
        confidence: 0.9,
        sentence: 'The plate was changed where nothing was placed.',
        cause:
          'Another range, matrix or curve was written or read, or the file was worked on after it was rendered.',
        remedy: 'Render again from the document and check that file; compare the colour tags of both files.',
        contrast: worst.change / worst.limit,
      },
    ],
    undecided: [],
    measured,
  }
}
