/** A movie file of packets that stand for themselves, one a frame. */
import { FormatContext, type Packet, Rational, type Stream } from 'node-av/lib'
import { must } from '../../../src/media/write/failure.js'

/** Frames a second of every clip here. */
export const RATE = 24

export class Output {
  readonly #format: FormatContext
  readonly #picture: Stream
  #written = 0

  private constructor(format: FormatContext, picture: Stream) {
    this.#format = format
    this.#picture = picture
  }

  /** @param describe gives the picture track its codec's parameters */
  static async open(path: string, describe: (picture: Stream) => number): Promise<Output> {
    const format = new FormatContext()
    must(format.allocOutputContext2(null, 'mov', path), 'Opening the container')
    const picture = format.newStream()
    must(describe(picture), 'Describing the picture track')
    picture.timeBase = new Rational(1, RATE)
    picture.avgFrameRate = new Rational(RATE, 1)
    must(await format.openOutput(), 'Opening the file')
    must(await format.writeHeader(), 'Writing the head of the file')
    return new Output(format, picture)
  }

  /** The next frame's packet; it stays the caller's and is left empty. */
  async write(packet: Packet): Promise<void> {
    packet.streamIndex = this.#picture.index
    packet.pts = BigInt(this.#written++)
    packet.dts = packet.pts
    packet.duration = 1n
    packet.rescaleTs({ num: 1, den: RATE }, this.#picture.timeBase)
    must(await this.#format.interleavedWriteFrame(packet), 'Writing a packet')
  }

  /** Writes the file's tail and closes it. */
  async finish(): Promise<void> {
    must(await this.#format.writeTrailer(), 'Writing the tail of the file')
    await this.#format.closeOutput()
    this.#format.freeContext()
  }
}
