/** A frame through R′G′B′, a strip of rows at a time: unpacked, put through curves, packed. */
import type { NativeFrame } from '../../core/index.js'
import { curveRows } from '../curve/apply.js'
import type { CurveTables } from '../curve/table.js'
import { packRows, STRIP } from '../pack/apply.js'
import type { Coding } from '../planes/coding.js'
import { unpackRows } from '../planes/unpack.js'
import { duringScratch, takeBytes } from '../wasm/memory.js'

/** All but alpha of `out`. The strip's height has no part in the result. */
export function repack(
  frame: NativeFrame,
  from: Coding,
  out: NativeFrame,
  to: Coding,
  curves: readonly CurveTables[],
  strip = STRIP,
): void {
  const { width, height } = frame
  duringScratch(() => {
    const unpacked = unpackRows(withoutAlpha(frame), from, 0, width)
    const through = curves.map(curveRows)
    const packed = packRows(withoutAlpha(out), to)
    const picture = takeBytes(16 * width * strip)
    for (let y = 0; y < height; y += strip) {
      const rows = Math.min(strip, height - y)
      unpacked(y, rows, picture)
      for (const curve of through) curve(picture, width * rows)
      packed(y, rows, picture)
    }
  })
}

function withoutAlpha(frame: NativeFrame): NativeFrame {
  return { ...frame, layout: { ...frame.layout, alpha: false } }
}
