/**
 * Plate changed: the finished file differs from the plate where no treatment touches.
 *
 * Means of 16×16 blocks that lie at least 16 pixels from any touched pixel, in code values: a codec's own error averages out,
 * a shifted level does not. Limit: 0.006 of the code range, 1.5 steps of 8 bits (a choice), for the middle of the blocks at every
 * level, since another curve or range moves levels apart, and for all but the worst 0.2 % of them. What a codec leaves in a
 * block's colour is normal about 0: there the limit rises to 5 σ of the blocks, robustly, and at most to thrice itself: a
 * preview of 2160p and 60 frames a second holds blue to σ 0.8 of 255.
 */
import { median, quantile, type Region, robustSigma } from '../../core/index.js'
import { type Comparison, cannotTell, quiet, type Seen, telling } from '../compare.js'

const BLOCK = 16
const LIMIT = 0.006
const SHARE = 0.998
const SIGMAS = 5
/** Of the limit, that a codec's own error may raise it to. */
const MOST = 3
/** Levels at which the middle is looked at, as equal parts of the blocks, and fewest blocks of one. */
const LEVELS = 8
const FEWEST = 32

export interface PlateLook {
  readonly frame: number
  /** Change that all but the worst 0.2 % of the blocks stay under, or that of the middle block of a level; of the channel that is worst. */
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
  const changes: [Change[], Change[], Change[]] = [[], [], []]
  let worst = { change: -1, x: 0, y: 0 }
  for (let by = 0; by < rows; by++) {
    for (let bx = 0; bx < columns; bx++) {
      if (near(bx, by)) continue
      const change = blockChange(seen, bx * BLOCK, by * BLOCK, width)
      for (const c of [0, 1, 2] as const) changes[c].push(change[c] as Change)
      const most = Math.max(...change.map(({ by }) => Math.abs(by)))
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

/** What the middle of the blocks of a level has changed by where that is too much, else the worst of them; with its limit. */
function channelChange(changes: readonly Change[]): { change: number; limit: number } {
  const by = changes.map((c) => c.by)
  const middle = Math.max(...levels(changes).map((of) => Math.abs(median(of))))
  if (middle > LIMIT) return { change: middle, limit: LIMIT }
  const noise = SIGMAS * robustSigma(by)
  const change = quantile(Float64Array.from(by, Math.abs).sort(), SHARE)
  return { change, limit: Math.min(Math.max(LIMIT, noise), MOST * LIMIT) }
}

/** Changes in equal parts by the plate's level. */
function levels(changes: readonly Change[]): number[][] {
  const parts = Math.min(Math.max(Math.floor(changes.length / FEWEST), 1), LEVELS)
  const sorted = [...changes].sort((a, b) => a.level - b.level).map((c) => c.by)
  const start = (k: number) => Math.round((k * sorted.length) / parts)
  return Array.from({ length: parts }, (_, k) => sorted.slice(start(k), start(k + 1)))
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

/** Means of a block of a channel, in code values. */
interface Change {
  readonly by: number
  /** Of the plate. */
  readonly level: number
}

function blockChange(seen: Seen, x0: number, y0: number, width: number): Change[] {
  const by = [0, 0, 0]
  const plate = [0, 0, 0]
  for (let y = y0; y < y0 + BLOCK; y++) {
    for (let x = x0; x < x0 + BLOCK; x++) {
      const i = 4 * (y * width + x)
      for (let c = 0; c < 3; c++) {
        const level = seen.plateCode.data[i + c] as number
        by[c] = (by[c] as number) + (seen.renderedCode.data[i + c] as number) - level
        plate[c] = (plate[c] as number) + level
      }
    }
  }
  const n = BLOCK * BLOCK
  return by.map((v, c) => ({ by: v / n, level: (plate[c] as number) / n }))
}

export function comparePlate(looks: readonly PlateLook[]): Comparison {
  if (looks.every((l) => l.blocks === 0)) {
    return cannotTell('plate-changed', 'display', 'the elements touch the whole frame')
  }
  const worst = [...looks].sort((a, b) => b.change / b.limit - a.change / a.limit)[0] as PlateLook
  const out = looks.filter((l) => l.change > l.limit)
  const measured = { change: [worst.change] }
  if (out.length === 0) return quiet(measured)
  return telling(
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
    measured,
  )
}
