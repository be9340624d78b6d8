/** What one decoded frame says of itself: the facts of `SourceInfo` that no container is needed for. */

import type { AVPixelFormat } from 'node-av/constants'
import {
  AV_FRAME_DATA_DISPLAYMATRIX,
  AV_FRAME_FLAG_INTERLACED,
  AV_FRAME_FLAG_TOP_FIELD_FIRST,
} from 'node-av/constants'
import { avGetPixFmtName, type Frame } from 'node-av/lib'
import { layoutName, Problem, sameLayout } from '../../core/index.js'
import { formatNamed, type PixelFormat } from '../formats.js'
import type { Rate, SourceInfo } from '../types.js'
import type { RawTags } from './tags.js'

export interface Look {
  readonly format: PixelFormat
  readonly width: number
  readonly height: number
  readonly tags: RawTags
  readonly pixelAspect: Rate | undefined
  readonly displayMatrix: Uint8Array | undefined
  /** By the decoder: 1 premultiplied, 2 straight, 0 unknown. */
  readonly alphaMode: number
}

/** @throws Problem `media.unsupported-layout` */
export function lookAt(frame: Frame, where: string): Look {
  const sar = frame.sampleAspectRatio
  return {
    format: formatNamed(avGetPixFmtName(frame.format as AVPixelFormat) ?? 'none', where),
    width: frame.width,
    height: frame.height,
    tags: {
      range: frame.colorRange,
      primaries: frame.colorPrimaries,
      curve: frame.colorTrc,
      matrix: frame.colorSpace,
      siting: frame.chromaLocation,
    },
    pixelAspect: ratio(sar.num, sar.den),
    displayMatrix: frame.getSideData(AV_FRAME_DATA_DISPLAYMATRIX) ?? undefined,
    alphaMode: frame.alphaMode,
  }
}

/** Reduced; `undefined` for 0:1, which means unknown. */
export function ratio(num: number, den: number): Rate | undefined {
  if (num <= 0 || den <= 0) return undefined
  let [a, b] = [num, den]
  while (b > 0) [a, b] = [b, a % b]
  return { num: num / a, den: den / a }
}

/** Like the first frame in size and layout? @throws Problem `media.mixed-size`, `media.mixed-layout` */
export function requireAlike(next: Look, first: Look, where: string): void {
  if (next.width !== first.width || next.height !== first.height) {
    throw new Problem({
      code: 'media.mixed-size',
      what: 'The picture changes size',
      where,
      expected: `${first.width}×${first.height} like the first frame`,
      received: `${next.width}×${next.height}`,
      remedy: 'Split the clip where it changes, or export all frames at one size.',
    })
  }
  if (sameLayout(next.format.layout, first.format.layout) && next.format.fullRange === first.format.fullRange)
    return
  throw new Problem({
    code: 'media.mixed-layout',
    what: 'The samples change their layout',
    where,
    expected: `${layoutName(first.format.layout)} like the first frame`,
    received: layoutName(next.format.layout),
    remedy: 'Export all frames with the same channels and bit depth.',
  })
}

/** Judged from the frame itself: containers often say nothing or the wrong thing. `undefined` of a progressive frame. */
export function fieldOrderOf(frame: Frame): SourceInfo['fieldOrder'] {
  if (!frame.hasFlags(AV_FRAME_FLAG_INTERLACED)) return undefined
  return frame.hasFlags(AV_FRAME_FLAG_TOP_FIELD_FIRST) ? 'top' : 'bottom'
}

export function refuseInterlaced(frame: Frame, where: string): void {
  const order = fieldOrderOf(frame)
  if (order !== undefined) throw interlaced(where, order)
}

export function interlaced(where: string, order: 'top' | 'bottom'): Problem {
  return new Problem({
    code: 'media.interlaced',
    what: 'The material is interlaced: each frame holds two moments',
    where,
    expected: 'progressive frames',
    received: `two fields a frame, the ${order} one first`,
    remedy:
      'Deinterlace it to one frame a field (25i becomes 50p, 29.97i becomes 59.94p), or remove the pulldown, then open the result.',
  })
}
