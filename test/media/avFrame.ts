/** Frames of the codec library for tests, in memory of its own: it does not keep a JavaScript buffer alive. */
import type { AVPixelFormat } from 'node-av/constants'
import { avImageAllocArrays, Frame } from 'node-av/lib'

/** A frame from a tight picture (rows unpadded, planes one behind the other); free it after use. No palettes. */
export function frameOf(bytes: Buffer, width: number, height: number, format: AVPixelFormat): Frame {
  const frame = new Frame()
  frame.alloc()
  Object.assign(frame, { width, height, format })
  if (frame.getBuffer() < 0) throw new Error('no room for a frame')
  const tight = avImageAllocArrays(width, height, format, 1).linesizes
  let at = 0
  for (const [i, plane] of (frame.data ?? []).entries()) {
    const [stride, row] = [frame.linesize[i], tight[i]]
    for (let y = 0; y < plane.length / stride; y++, at += row) bytes.copy(plane, y * stride, at, at + row)
  }
  if (at !== bytes.length) throw new Error(`the picture has ${bytes.length} bytes, the frame ${at}`)
  return frame
}
