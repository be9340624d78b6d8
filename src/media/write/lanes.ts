/**
 * Intra frames encoded side by side. A lane holds one frame in the encoder's memory, which is touched once, and an encoder: kept from
 * frame to frame where the codec remembers nothing, else a fresh one each time.
 */
import type { CodecContext, Packet } from 'node-av/lib'
import type { NativeFrame } from '../../core/index.js'
import { type EncoderSetup, openEncoder, push, tagColourVolume, tagFrame } from './encoder.js'
import { EncoderFrame } from './frame.js'

export class Lanes {
  private readonly setup: EncoderSetup
  private readonly free: Lane[] = []
  private readonly all: Lane[] = []

  constructor(setup: EncoderSetup) {
    this.setup = setup
  }

  /** The one packet of a frame, which may be used again at once. */
  encode(frame: NativeFrame, index: number): Promise<Packet> {
    const lane = this.free.pop() ?? this.open()
    const { tags, spec } = this.setup
    try {
      lane.input.fill(frame)
      tagFrame(lane.input.frame, tags, spec, index)
    } catch (error) {
      this.free.push(lane)
      throw error
    }
    return lane.encode().finally(() => this.free.push(lane))
  }

  /** Call when nothing is being encoded. */
  close(): void {
    for (const lane of this.all.splice(0)) lane.close()
    this.free.length = 0
  }

  private open(): Lane {
    const lane = new Lane(this.setup)
    this.all.push(lane)
    return lane
  }
}

class Lane {
  readonly input: EncoderFrame
  private readonly setup: EncoderSetup
  private kept: CodecContext | undefined

  constructor(setup: EncoderSetup) {
    this.setup = setup
    this.input = new EncoderFrame(setup.codec.pixelFormat, setup.size)
  }

  async encode(): Promise<Packet> {
    const { codec, spec } = this.setup
    const context = this.kept ?? openEncoder(this.setup)
    if (codec.forgets) this.kept = context
    try {
      const packets = await push(context, this.input.frame)
      if (!codec.forgets) packets.push(...(await push(context, null)))
      const [packet] = packets
      if (packet === undefined || packets.length > 1) throw new Error('an intra encoder gave not one packet')
      if (codec.encoder === 'dnxhd') tagColourVolume(packet, spec.encoding.matrix)
      return packet
    } finally {
      if (!codec.forgets) context.freeContext()
    }
  }

  close(): void {
    this.kept?.freeContext()
    this.kept = undefined
    this.input.free()
  }
}
