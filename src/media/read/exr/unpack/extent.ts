/** What stands of each channel in a block of scan lines, where channels may be sampled at every other pixel only. */
import type { ExrChannel } from '../attributes.js'
import { sampleBytes } from '../dwa/block.js'

/** What a block holds of a channel. */
export interface Extent {
  readonly type: ExrChannel['type']
  readonly linear: boolean
  readonly stepY: number
  /** Samples in a line, and lines that have any. */
  readonly width: number
  readonly rows: number
  readonly bytes: number
}

/** Channels' lines in the order of an uncompressed block. */
export function* lines(extents: readonly Extent[], top: number, rows: number): Generator<Extent> {
  for (let y = top; y < top + rows; y++) for (const e of extents) if (y % e.stepY === 0) yield e
}

export function extentOf(c: ExrChannel, width: number, top: number, rows: number): Extent {
  const upTo = (y: number) => Math.ceil(y / c.stepY)
  return {
    type: c.type,
    linear: c.linear,
    stepY: c.stepY,
    width: width / c.stepX,
    rows: upTo(top + rows) - upTo(top),
    bytes: sampleBytes[c.type],
  }
}
