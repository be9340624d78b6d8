/** Data and display window: the picture fills the display window, cropped to it, 0 where it has no data. */
import { intersect, type NativeFrame, type Plane, type Region, type Samples } from '../../../core/index.js'
import type { ExrPart } from './header.js'

export function windowsDiffer(p: ExrPart): boolean {
  const [a, b] = [p.dataWindow, p.displayWindow]
  return a.x !== b.x || a.y !== b.y || a.width !== b.width || a.height !== b.height
}

/** Data window counted from the display window's corner. */
export function dataInFrame(p: ExrPart): Region {
  return { ...p.dataWindow, x: p.dataWindow.x - p.displayWindow.x, y: p.dataWindow.y - p.displayWindow.y }
}

/** The decoded data window inside the display window. */
export function placeInDisplay(frame: NativeFrame, p: ExrPart): NativeFrame {
  if (!windowsDiffer(p)) return frame
  const { width, height } = p.displayWindow
  const data = dataInFrame(p)
  const done = new Map<Plane, Plane>()
  for (const plane of frame.planes) if (!done.has(plane)) done.set(plane, place(plane, data, width, height))
  return { layout: frame.layout, width, height, planes: frame.planes.map((q) => done.get(q) as Plane) }
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
