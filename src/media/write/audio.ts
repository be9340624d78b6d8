/**
 * The plate's sound, copied packet by packet and cut to the frames written.
 *
 * Packets are never opened: the cut falls on packet borders, so the sound may begin up to one packet before the first
 * frame (its time stamp says so, and the container hides that part) and end up to one packet after the last.
 */
import {
  AV_NOPTS_VALUE,
  AVDISCARD_ALL,
  AVMEDIA_TYPE_AUDIO,
  AVMEDIA_TYPE_VIDEO,
  AVSEEK_FLAG_BACKWARD,
} from 'node-av/constants'
import { FormatContext, Packet, type Stream } from 'node-av/lib'
import { Problem } from '../../core/index.js'
import { openInput, unopened } from '../read/input.js'
import { reason } from '../read/library.js'
import type { DeliverySpec } from '../types.js'

type AudioRequest = NonNullable<DeliverySpec['audioFrom']>

/** A packet, timed from the delivery's first frame in its stream's ticks, and the index of its track. */
export interface AudioPacket {
  readonly packet: Packet
  readonly track: number
}

interface Waiting extends AudioPacket {
  readonly begins: number
}

/** Tracks of one file lie at most so far apart, in seconds; beyond, a track is taken to have ended. */
const SPREAD = 10

export class AudioCopy {
  readonly streams: readonly Stream[]
  private readonly format: FormatContext
  private readonly start: number
  private readonly seconds: number
  /** Packets before the first frame (an encoder's run-up) are kept when the copy begins at the file's own start. */
  private readonly fromTheTop: boolean
  /** Seconds that each track has been read to. */
  private readonly reached: number[]
  private waiting: Waiting[] = []
  private ended = false
  private closed = false

  private constructor(format: FormatContext, request: AudioRequest) {
    this.format = format
    this.streams = format.streams.filter((s) => s.codecpar.codecType === AVMEDIA_TYPE_AUDIO)
    this.start = request.startSeconds + firstPicture(format)
    this.seconds = request.seconds
    this.fromTheTop = request.startSeconds <= 0
    this.reached = this.streams.map(() => Number.NEGATIVE_INFINITY)
  }

  /** `undefined` when the file has no sound. @throws Problem `media.file-unreadable` */
  static async open(request: AudioRequest): Promise<AudioCopy | undefined> {
    const format = new FormatContext()
    const opened = await openInput(format, request.path)
    if (opened < 0) throw unreadable(request.path, unopened(opened))
    const found = await format.findStreamInfo()
    const copy = new AudioCopy(format, request)
    if (found >= 0 && copy.streams.length > 0) {
      for (const s of format.streams)
        if (!copy.streams.some((a) => a.index === s.index)) s.discard = AVDISCARD_ALL
      if (copy.start > SPREAD) {
        await format.seekFrame(-1, BigInt(Math.round((copy.start - 1) * 1e6)), AVSEEK_FLAG_BACKWARD)
      }
      return copy
    }
    await copy.close()
    if (found < 0) throw unreadable(request.path, reason(found))
    return undefined
  }

  /** Packets that begin before `until` seconds of the delivery; the caller frees them. */
  async *upTo(until: number): AsyncGenerator<AudioPacket> {
    const end = Math.min(until, this.seconds)
    const ready = this.waiting.filter((w) => w.begins < end)
    this.waiting = this.waiting.filter((w) => w.begins >= end)
    yield* ready
    while (!this.ended && this.reached.some((r) => r < end)) {
      const next = await this.next()
      if (next === undefined) return
      this.reached[next.track] = next.begins
      if (next.begins < end) yield next
      else {
        this.waiting.push(next)
        if (next.begins > end + SPREAD) return
      }
    }
  }

  async close(): Promise<void> {
    if (this.closed) return
    this.closed = true
    for (const { packet } of this.waiting) packet.free()
    this.waiting = []
    this.ended = true
    await this.format.closeInput()
  }

  /** The next packet that the delivery can use. */
  private async next(): Promise<Waiting | undefined> {
    for (;;) {
      const packet = new Packet()
      packet.alloc()
      if ((await this.format.readFrame(packet)) < 0) {
        packet.free()
        this.ended = true
        return undefined
      }
      const track = this.streams.findIndex((s) => s.index === packet.streamIndex)
      const stream = this.streams[track]
      if (stream !== undefined) {
        const tick = stream.timeBase.num / stream.timeBase.den
        const from = packet.pts === AV_NOPTS_VALUE ? packet.dts : packet.pts
        const begins = Number(from) * tick - this.start
        if (this.fromTheTop || begins + Number(packet.duration) * tick > 0) {
          const shift = BigInt(Math.round(this.start / tick))
          packet.pts = from - shift
          packet.dts = (packet.dts === AV_NOPTS_VALUE ? from : packet.dts) - shift
          return { packet, track, begins }
        }
      }
      packet.free()
    }
  }
}

/** Time of the first picture, from which a request counts; 0 where there is none. */
function firstPicture(format: FormatContext): number {
  const video = format.streams.find((s) => s.codecpar.codecType === AVMEDIA_TYPE_VIDEO)
  if (video === undefined || video.startTime === AV_NOPTS_VALUE) return 0
  return (Number(video.startTime) * video.timeBase.num) / video.timeBase.den
}

function unreadable(path: string, why: string): Problem {
  return new Problem({
    code: 'media.file-unreadable',
    what: 'The sound of this file cannot be read',
    where: path,
    received: why,
    remedy: 'Leave the sound out, or check the file.',
  })
}
