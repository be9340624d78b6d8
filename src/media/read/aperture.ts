/**
 * Clean aperture: the part of the stored picture that is meant to be seen. Codecs that want even sizes store a column
 * or row more and mark it so; older cameras mark a margin all round.
 *
 * The mark is four 32-bit little-endian numbers: samples to cut at top, bottom, left, right (the codec library's own
 * form of [iso14496-12 §12.1.4] and of the crop of other containers).
 */
import { AV_PKT_DATA_FRAME_CROPPING } from 'node-av/constants'
import type { Stream } from 'node-av/lib'
import { type NativeFrame, type PixelLayout, type Plane, Problem, planeSize } from '../../core/index.js'
import type { Look } from './look.js'

export interface Crop {
  readonly top: number
  readonly bottom: number
  readonly left: number
  readonly right: number
}

const NONE: Crop = { top: 0, bottom: 0, left: 0, right: 0 }

/** What the container marks to be cut off, and the stored size that the mark is meant for. */
export interface Aperture {
  readonly crop: Crop
  readonly width: number
  readonly height: number
}

/** Ask before the library looks into the pictures: it then replaces the container's size by the decoder's. */
export function apertureOf(stream: Stream): Aperture {
  const { width, height } = stream.codecpar
  const mark = stream.codecpar.getCodedSideData(AV_PKT_DATA_FRAME_CROPPING)
  if (mark === null || mark.length < 16) return { crop: NONE, width, height }
  const [top, bottom, left, right] = [0, 4, 8, 12].map((at) => mark.readUInt32LE(at)) as [
    number,
    number,
    number,
    number,
  ]
  return { crop: { top, bottom, left, right }, width, height }
}

/**
 * What to cut off pictures like `first`. Nothing where the decoder has already cut; nothing, and said so, where the
 * mark leaves no picture or would split a chroma sample at the left or top.
 */
export function cropFor(aperture: Aperture, first: Look, where: string): { crop: Crop; findings: Problem[] } {
  const { crop } = aperture
  const { layout } = first.format
  const { top, bottom, left, right } = crop
  if (!isCut(crop)) return { crop: NONE, findings: [] }
  if (first.width !== aperture.width || first.height !== aperture.height) return { crop: NONE, findings: [] }
  const received = `top ${top}, bottom ${bottom}, left ${left}, right ${right} of ${first.width}×${first.height}`
  const whole = left % (1 << layout.subX) === 0 && top % (1 << layout.subY) === 0
  if (!whole || left + right >= first.width || top + bottom >= first.height) {
    const problem = new Problem({
      code: 'media.aperture-ignored',
      what: 'The file marks a part to be cut off that cannot be cut exactly; the whole picture is used',
      where,
      expected: 'an edge between two chroma samples',
      received,
      remedy: 'Crop the clip when you transcode it, if the margin shows.',
    })
    return { crop: NONE, findings: [problem] }
  }
  // Less than a block of 16 at the end is a codec's padding and no news.
  if (top + left === 0 && bottom < 16 && right < 16) return { crop, findings: [] }
  const problem = new Problem({
    code: 'media.aperture',
    what: 'The file marks a margin to be cut off, and it is',
    where,
    received,
    remedy:
      'If the edit uses the whole stored picture, remove the mark (clean aperture) from the file first.',
  })
  return { crop, findings: [problem] }
}

export function croppedLook(look: Look, crop: Crop): Look {
  return {
    ...look,
    width: look.width - crop.left - crop.right,
    height: look.height - crop.top - crop.bottom,
  }
}

export function isCut({ top, bottom, left, right }: Crop): boolean {
  return top + bottom + left + right > 0
}

/** The samples inside, none changed. `left` and `top` are whole chroma steps. */
export function cropFrame(frame: NativeFrame, crop: Crop): NativeFrame {
  if (!isCut(crop)) return frame
  const width = frame.width - crop.left - crop.right
  const height = frame.height - crop.top - crop.bottom
  const done = new Map<Plane, Plane>()
  for (const [i, plane] of frame.planes.entries()) {
    if (!done.has(plane)) done.set(plane, cropPlane(plane, frame.layout, i, crop, width, height))
  }
  return { layout: frame.layout, width, height, planes: frame.planes.map((p) => done.get(p) as Plane) }
}

function cropPlane(plane: Plane, layout: PixelLayout, i: number, crop: Crop, w: number, h: number): Plane {
  const { width, height } = planeSize(layout, w, h, i)
  const chroma = layout.family === 'yuv' && (i === 1 || i === 2)
  const left = chroma ? crop.left >> layout.subX : crop.left
  const top = chroma ? crop.top >> layout.subY : crop.top
  const data = plane.data.slice(0, width * height)
  for (let y = 0; y < height; y++) {
    const from = (y + top) * plane.width + left
    data.set(plane.data.subarray(from, from + width), y * width)
  }
  return { width, height, data }
}
