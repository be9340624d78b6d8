/** The delivery's encoder as fast as it goes: one for the whole clip, with frame threads of its own. */
import { AV_PIX_FMT_YUV422P10LE } from 'node-av/constants'
import { Codec, CodecContext, type Frame, Packet, Rational } from 'node-av/lib'
import { isDry } from '../../../src/media/read/library.js'
import { deliveryCodec } from '../../../src/media/write/delivery.js'
import { must } from '../../../src/media/write/failure.js'
import { Output, RATE } from './output.js'

export class Encoder {
  readonly #context: CodecContext
  readonly #output: Output
  #taken = 0

  private constructor(context: CodecContext, output: Output) {
    this.#context = context
    this.#output = output
  }

  /** A ProRes 422 HQ movie of frames of ten bits, 4:2:2. */
  static async open(path: string, width: number, height: number): Promise<Encoder> {
    const delivery = deliveryCodec('prores-422-hq')
    if (delivery.kind !== 'movie' || delivery.profile === undefined) throw new Error('ProRes is no movie')
    const codec = Codec.findEncoderByName(delivery.encoder as Parameters<typeof Codec.findEncoderByName>[0])
    const context = new CodecContext()
    context.allocContext3(codec)
    context.width = width
    context.height = height
    context.pixelFormat = AV_PIX_FMT_YUV422P10LE
    context.timeBase = new Rational(1, RATE)
    context.framerate = new Rational(RATE, 1)
    context.profile = delivery.profile as typeof context.profile
    context.threadCount = 0
    must(await context.open2(codec), 'Opening the encoder')
    return new Encoder(context, await Output.open(path, (picture) => picture.codecpar.fromContext(context)))
  }

  /** Takes a frame and frees it. */
  async write(frame: Frame): Promise<void> {
    frame.pts = BigInt(this.#taken++)
    must(await this.#context.sendFrame(frame), 'Encoding')
    frame.free()
    await this.#drain()
  }

  async finish(): Promise<void> {
    must(await this.#context.sendFrame(null), 'Encoding')
    await this.#drain()
    await this.#output.finish()
    this.#context.freeContext()
  }

  async #drain(): Promise<void> {
    const packet = new Packet()
    packet.alloc()
    for (;;) {
      const code = await this.#context.receivePacket(packet)
      if (isDry(code)) break
      must(code, 'Encoding')
      await this.#output.write(packet)
    }
    packet.free()
  }
}
