/**
 * Data and display window. The codec library misplaces pictures whose windows do not start at 0, 0: so the file's
 * bytes are moved to the origin before decoding (window attributes and the row number of each chunk), and the picture
 * is put where it belongs afterwards: cropped to the display window, 0 where it has no data.
 */
import {
  intersect,
  type NativeFrame,
  type Plane,
  Problem,
  type Region,
  type Samples,
} from '../../../core/index.js'
import type { ExrHeader } from './header.js'

export function windowsDiffer(h: ExrHeader): boolean {
  const [a, b] = [h.dataWindow, h.displayWindow]
  return a.x !== b.x || a.y !== b.y || a.width !== b.width || a.height !== b.height
}

/** Data window counted from the display window's corner. */
export function dataInFrame(h: ExrHeader): Region {
  return { ...h.dataWindow, x: h.dataWindow.x - h.displayWindow.x, y: h.dataWindow.y - h.displayWindow.y }
}

/** @throws Problem `media.damaged-frame` when blocks are missing: a file cut short, or written in part */
export function requireComplete(bytes: Uint8Array, h: ExrHeader, where: string): void {
  const view = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const count = h.chunks ?? 0
  for (let i = 0; i < count; i++) {
    const start = chunkAt(view, h, i)
    const head = h.tiled ? 20 : 8
    const complete = start > 0 && start + head <= view.length
    const size = complete ? view.readInt32LE(start + head - 4) : -1
    if (size < 0 || start + head + size > view.length) {
      throw new Problem({
        code: 'media.damaged-frame',
        what: 'The OpenEXR file is cut short',
        where,
        received: `block ${i + 1} of ${count} lies outside the file`,
        remedy: 'Render or copy this file again.',
      })
    }
  }
}

/** Where block `i` of the first part starts, past the part number of files with several parts; −1 when unknown. */
function chunkAt(bytes: Buffer, h: ExrHeader, i: number): number {
  const at = h.at.offsets + 8 * i
  const start = at + 8 <= bytes.length ? Number(bytes.readBigUInt64LE(at)) : 0
  return start > 0 ? start + (h.parts > 1 ? 4 : 0) : -1
}

/** A copy of a complete file whose both windows are the data window at 0, 0. */
export function moveToOrigin(bytes: Uint8Array, h: ExrHeader): Buffer {
  const out = Buffer.from(bytes)
  const { width, height } = h.dataWindow
  for (const at of [h.at.dataWindow, h.at.displayWindow]) {
    out.writeInt32LE(0, at)
    out.writeInt32LE(0, at + 4)
    out.writeInt32LE(width - 1, at + 8)
    out.writeInt32LE(height - 1, at + 12)
  }
  for (let i = 0; !h.tiled && i < (h.chunks ?? 0); i++) {
    const start = chunkAt(out, h, i)
    out.writeInt32LE(out.readInt32LE(start) - h.dataWindow.y, start)
  }
  return out
}

/** The decoded data window inside the display window. */
export function placeInDisplay(frame: NativeFrame, h: ExrHeader): NativeFrame {
  if (!windowsDiffer(h)) return frame
  const { width, height } = h.displayWindow
  const data = dataInFrame(h)
  const done = new Map<Plane, Plane>()
  for (const plane of frame.planes) if (!done.has(plane)) done.set(plane, place(plane, data, width, height))
  return { layout: frame.layout, width, height, planes: frame.planes.map((p) => done.get(p) as Plane) }
}

function place(plane: Plane, at: Region, width: number, height: number): Plane {
  const out = new (plane.data.constructor as new (n: number) => Samples)(width * height)
  const seen = intersect(at, { x: 0, y: 0, width, height })
  for (let y = seen.y; y < seen.y + seen.height; y++) {
    const from = (y - at.y) * plane.width + seen.x - at.x
    out.set(plane.data.subarray(from, from + seen.width), y * width + seen.x)
  }
  return { width, height, data: out }
}
