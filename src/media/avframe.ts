/** From a decoded frame to ours; the samples are copied, never converted. */
import type { AVPixelFormat } from 'node-av/constants'
import { avGetPixFmtName, type Frame } from 'node-av/lib'
import type { NativeFrame } from '../core/index.js'
import { formatNamed } from './formats.js'
import { unpackSamples } from './samples.js'

/** Our planes of a decoded frame, which can be freed afterwards. @throws Problem `media.unsupported-layout` */
export function fromAvFrame(frame: Frame, where?: string): NativeFrame {
  const format = formatNamed(avGetPixFmtName(frame.format as AVPixelFormat) ?? 'none', where)
  return unpackSamples(frame.toBuffer(), format, frame.width, frame.height)
}
