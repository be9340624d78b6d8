/** The low-level decoding loop: packets in, frames out, in order of presentation. */
import {
  AV_CODEC_FLAG_UNALIGNED,
  AV_FRAME_FLAG_CORRUPT,
  AV_FRAME_FLAG_DISCARD,
  AVCHROMA_LOC_UNSPECIFIED,
  AVCOL_PRI_UNSPECIFIED,
  AVCOL_RANGE_UNSPECIFIED,
  AVCOL_SPC_UNSPECIFIED,
  AVCOL_TRC_UNSPECIFIED,
  FF_DECODER_LIBVPX_VP8,
  FF_DECODER_LIBVPX_VP9,
} from 'node-av/constants'
import { Codec, CodecContext, type CodecParameters, Frame, Packet, type Stream } from 'node-av/lib'
import { Problem } from '../../core/index.js'
import { isDry, isHungry, reason } from './library.js'

export interface Decoder {
  readonly context: CodecContext
  readonly name: string
  readonly profile?: string
}

/** VP9's alpha lies in side packets that only this decoder reads. */
function decoderFor(stream: Stream): Codec | null {
  const alpha = stream.metadata?.get('alpha_mode') === '1' || stream.metadata?.get('ALPHA_MODE') === '1'
  const own = Codec.findDecoder(stream.codecpar.codecId)
  if (!alpha) return own
  const name = own?.name === 'vp8' ? FF_DECODER_LIBVPX_VP8 : FF_DECODER_LIBVPX_VP9
  return Codec.findDecoderByName(name) ?? own
}

/** @throws Problem `media.no-decoder` */
export async function openDecoder(stream: Stream, where: string, threads = 0): Promise<Decoder> {
  const codec = decoderFor(stream)
  if (codec === null) {
    throw new Problem({
      code: 'media.no-decoder',
      what: 'There is no decoder for this codec',
      where,
      received: stream.codecpar.codecTagString ?? `codec ${stream.codecpar.codecId}`,
      remedy: 'Transcode the file to ProRes, DNxHR or an image sequence.',
    })
  }
  const context = new CodecContext()
  context.allocContext3(codec)
  context.parametersToContext(stream.codecpar)
  forgetColour(context)
  context.pktTimebase = stream.timeBase
  context.threadCount = threads
  // Exact cropping: without it the left edge is kept to please the memory's alignment.
  context.setFlags(AV_CODEC_FLAG_UNALIGNED)
  const opened = await context.open2(codec)
  if (opened < 0) {
    context.freeContext()
    throw new Problem({
      code: 'media.no-decoder',
      what: 'The decoder refuses the file',
      where,
      received: reason(opened),
      remedy: 'Transcode the file to ProRes, DNxHR or an image sequence.',
    })
  }
  const profile = profileName(codec, stream.codecpar)
  return { context, name: codec.name ?? 'unknown', ...(profile === undefined ? {} : { profile }) }
}

/** So that a frame's tags are the bitstream's own and never the container's. */
function forgetColour(context: CodecContext): void {
  context.colorRange = AVCOL_RANGE_UNSPECIFIED
  context.colorPrimaries = AVCOL_PRI_UNSPECIFIED
  context.colorTrc = AVCOL_TRC_UNSPECIFIED
  context.colorSpace = AVCOL_SPC_UNSPECIFIED
  context.chromaLocation = AVCHROMA_LOC_UNSPECIFIED
}

function profileName(codec: Codec, parameters: CodecParameters): string | undefined {
  return codec.profiles?.find((p) => p.profile === parameters.profile)?.name
}

/**
 * Feeds `packets` (they stay the caller's) and yields each frame, which holds until the consumer comes back: the next one takes its
 * place. A packet that the decoder rejects is passed over: its frame will be missing.
 *
 * One frame for all: memory of pictures that come and go counts with JavaScript's own, and would set off a collection every few of
 * them.
 */
export async function* decodeAll(
  context: CodecContext,
  packets: AsyncIterable<Packet>,
): AsyncGenerator<Frame, void, undefined> {
  const frame = new Frame()
  frame.alloc()
  try {
    for await (const packet of packets) {
      let sent = await context.sendPacket(packet)
      while (isHungry(sent)) {
        yield* drain(context, frame)
        sent = await context.sendPacket(packet)
      }
      yield* drain(context, frame)
    }
    await context.sendPacket(null)
    yield* drain(context, frame)
  } finally {
    frame.free()
  }
}

async function* drain(context: CodecContext, frame: Frame): AsyncGenerator<Frame, void, undefined> {
  let refused = 0
  while (refused < 64) {
    const got = await context.receiveFrame(frame)
    if (got >= 0) {
      refused = 0
      if (!frame.hasFlags(AV_FRAME_FLAG_DISCARD)) yield frame
    } else if (isDry(got)) return
    else refused++
  }
}

export function isDamaged(frame: Frame): boolean {
  return frame.hasFlags(AV_FRAME_FLAG_CORRUPT) || frame.decodeErrorFlags !== 0
}

/** Packets of one track, from where the container stands to its end. */
export async function* packetsOf(
  read: (packet: Packet) => Promise<number>,
  track: number,
): AsyncGenerator<Packet, void, undefined> {
  const packet = new Packet()
  packet.alloc()
  try {
    while ((await read(packet)) >= 0) {
      if (packet.streamIndex === track) yield packet
      packet.unref()
    }
  } finally {
    packet.free()
  }
}
