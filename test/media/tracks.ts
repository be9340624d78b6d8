/** Movies of several tracks, joined from single ones packet by packet, and what lies beside the packets of a file. */
import type { AVDisposition, AVPacketSideDataType } from 'node-av/constants'
import { AVMEDIA_TYPE_VIDEO, FF_DECODER_VP9 } from 'node-av/constants'
import { Codec, CodecContext, FormatContext, Frame, Packet } from 'node-av/lib'

const must = (code: number, what: string) => {
  if (code < 0) throw new Error(`${what}: ${code}`)
}

/** Copies the picture tracks of `parts` into one file, in that order, each with its disposition. */
export async function joinTracks(
  path: string,
  parts: readonly { readonly path: string; readonly disposition: AVDisposition | 0 }[],
): Promise<void> {
  const out = new FormatContext()
  must(out.allocOutputContext2(null, null, path), 'container')
  const inputs: FormatContext[] = []
  for (const part of parts) {
    const input = new FormatContext()
    must(await input.openInput(part.path), part.path)
    must(await input.findStreamInfo(), part.path)
    inputs.push(input)
    const [from, to] = [input.streams[0], out.newStream()]
    must(from.codecpar.copy(to.codecpar), 'parameters')
    to.codecpar.codecTag = 0
    to.timeBase = from.timeBase
    to.disposition = part.disposition as AVDisposition
  }
  must(await out.openOutput(), 'file')
  must(await out.writeHeader(), 'head')
  const packet = new Packet()
  packet.alloc()
  for (const [i, input] of inputs.entries()) {
    while ((await input.readFrame(packet)) >= 0) {
      packet.rescaleTs(input.streams[0].timeBase, out.streams[i].timeBase)
      packet.streamIndex = i
      must(await out.interleavedWriteFrame(packet), 'packet')
    }
    await input.closeInput()
  }
  must(await out.writeTrailer(), 'tail')
  await out.closeOutput()
  packet.free()
  out.freeContext()
}

/** The side data of `kind` of every picture packet that has some. */
export async function sideData(path: string, kind: AVPacketSideDataType): Promise<Buffer[]> {
  const input = new FormatContext()
  must(await input.openInput(path), path)
  const track = input.streams.findIndex((s) => s.codecpar.codecType === AVMEDIA_TYPE_VIDEO)
  const packet = new Packet()
  packet.alloc()
  const found: Buffer[] = []
  while ((await input.readFrame(packet)) >= 0) {
    const data = packet.streamIndex === track ? packet.getSideData(kind) : null
    if (data !== null) found.push(Buffer.from(data))
    packet.unref()
  }
  packet.free()
  await input.closeInput()
  return found
}

/** Tight pictures of bare VP9 frames, by the library's own decoder. */
export async function decodeVp9(packets: readonly Buffer[]): Promise<Buffer[]> {
  const codec = Codec.findDecoderByName(FF_DECODER_VP9)
  const context = new CodecContext()
  context.allocContext3(codec)
  context.threadCount = 1
  must(await context.open2(codec), 'decoder')
  const out: Buffer[] = []
  for (const bytes of packets) {
    const packet = new Packet()
    packet.alloc()
    packet.data = bytes
    must(await context.sendPacket(packet), 'packet')
    const frame = new Frame()
    frame.alloc()
    must(await context.receiveFrame(frame), 'frame')
    out.push(Buffer.from(frame.toBuffer()))
    frame.free()
    packet.free()
  }
  context.freeContext()
  return out
}
