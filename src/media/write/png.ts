/** PNG of 16 bits a sample, tagged by the encoder with cICP, gAMA and cHRM from the frame. Source: [png3]. */
import { AV_CODEC_FLAG_BITEXACT } from 'node-av/constants'
import { avGetPixFmtFromName, Codec, CodecContext, Rational } from 'node-av/lib'
import { type NativeFrame, Problem } from '../../core/index.js'
import type { DeliverySpec } from '../types.js'
import { push, tagFrame } from './encoder.js'
import { must } from './failure.js'
import { encoderFrame } from './frame.js'
import type { CodeTags } from './tags.js'

/** Bytes of a file for planes R, G, B of 16 bits. Reads the planes before its first wait. */
export async function pngFile(frame: NativeFrame, spec: DeliverySpec, tags: CodeTags): Promise<Buffer> {
  const input = encoderFrame(frame, 'rgb48be', frame)
  const context = new CodecContext()
  try {
    tagFrame(input, tags, spec, 0)
    const codec = Codec.findEncoderByName('png' as Parameters<typeof Codec.findEncoderByName>[0])
    if (codec === null)
      throw new Problem({ code: 'media.no-encoder', what: 'The codec library lacks PNG', exit: 3 })
    context.allocContext3(codec)
    context.width = frame.width
    context.height = frame.height
    context.pixelFormat = avGetPixFmtFromName('rgb48be')
    context.timeBase = new Rational(1, 1)
    context.sampleAspectRatio = input.sampleAspectRatio
    context.threadCount = 1
    context.setFlags(AV_CODEC_FLAG_BITEXACT)
    must(context.setOption('pred', 'paeth'), 'Setting the filter of PNG')
    must(context.open2Sync(codec), 'Opening PNG')
    const packets = [...(await push(context, input)), ...(await push(context, null))]
    const bytes = Buffer.concat(packets.map((p) => p.data ?? Buffer.alloc(0)))
    for (const packet of packets) packet.free()
    return bytes
  } finally {
    context.freeContext()
    input.free()
  }
}
