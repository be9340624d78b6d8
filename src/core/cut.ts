import { type NativeFrame, type Plane, planeSize, type Samples } from './planes.js'
import type { Region } from './region.js'

/**
 * A part of a frame as a frame of its own, in the same memory where that can be; the frame itself where that is all of it.
 *
 * @param part inside the frame, its left and top edges on chroma sites, its right and bottom ones too or on the border
 */
export function cutFrame(frame: NativeFrame, part: Region): NativeFrame {
  const { x, y, width, height } = part
  if (width === frame.width && height === frame.height) return frame
  const planes = frame.planes.map((plane, i): Plane => {
    const size = planeSize(frame.layout, width, height, i)
    const chroma = frame.layout.family === 'yuv' && (i === 1 || i === 2)
    const { subX, subY } = chroma ? frame.layout : FULL
    const from = (y >> subY) * plane.width + (x >> subX)
    return { ...size, data: cutSamples(plane, from, size.width, size.height) }
  })
  return { layout: frame.layout, width, height, planes }
}

const FULL = { subX: 0, subY: 0 } as const

function cutSamples(plane: Plane, from: number, width: number, height: number): Samples {
  const { data } = plane
  if (width === plane.width) return data.subarray(from, from + width * height)
  const out = new (data.constructor as new (length: number) => Samples)(width * height)
  for (let y = 0, i = from; y < height; y++, i += plane.width) out.set(data.subarray(i, i + width), y * width)
  return out
}
