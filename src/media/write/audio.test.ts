import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import {
  AV_CHANNEL_LAYOUT_STEREO,
  AV_CODEC_FLAG_GLOBAL_HEADER,
  AV_SAMPLE_FMT_FLTP,
  AV_SAMPLE_FMT_S16,
} from 'node-av/constants'
import { Codec, CodecContext, FormatContext, Frame, Packet, Rational } from 'node-av/lib'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { picture } from '../../../test/media/pictures.js'
import { readBack } from '../../../test/media/readBack.js'
import { createWriter, type DeliverySpec, deliveryEncoding } from '../index.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-audio-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

type Coding = 'aac' | 'pcm_s16le' | 'flac'
const formats = { aac: AV_SAMPLE_FMT_FLTP, pcm_s16le: AV_SAMPLE_FMT_S16, flac: AV_SAMPLE_FMT_S16 }

/** A file of `tracks` sound tracks alone: tones of 48 kHz, made by the library without our code. */
async function soundFile(name: string, coding: Coding, seconds: number, tracks = 1): Promise<string> {
  const path = join(folder, name)
  const out = new FormatContext()
  out.allocOutputContext2(null, null, path)
  const codec = Codec.findEncoderByName(coding as Parameters<typeof Codec.findEncoderByName>[0])!
  const encoders = Array.from({ length: tracks }, () => {
    const e = new CodecContext()
    e.allocContext3(codec)
    e.sampleRate = 48000
    e.sampleFormat = formats[coding]
    e.channelLayout = AV_CHANNEL_LAYOUT_STEREO
    e.timeBase = new Rational(1, 48000)
    e.bitRate = 128000n
    e.setFlags(AV_CODEC_FLAG_GLOBAL_HEADER)
    if (e.open2Sync(codec) < 0) throw new Error(`cannot open ${coding}`)
    const stream = out.newStream()
    stream.codecpar.fromContext(e)
    stream.timeBase = new Rational(1, 48000)
    return { e, stream }
  })
  await out.openOutput()
  await out.writeHeader()
  const packet = new Packet()
  packet.alloc()
  const drain = async ({ e, stream }: (typeof encoders)[number]) => {
    while ((await e.receivePacket(packet)) >= 0) {
      packet.streamIndex = stream.index
      packet.rescaleTs({ num: 1, den: 48000 }, stream.timeBase)
      await out.interleavedWriteFrame(packet)
    }
  }
  for (let at = 0; at < seconds * 48000; at += 1024) {
    for (const [track, one] of encoders.entries()) {
      const frame = new Frame()
      frame.alloc()
      frame.nbSamples = 1024
      frame.format = formats[coding]
      frame.sampleRate = 48000
      frame.channelLayout = AV_CHANNEL_LAYOUT_STEREO
      frame.getBuffer()
      frame.pts = BigInt(at)
      for (const data of frame.data ?? []) {
        const wide = coding === 'aac'
        for (let i = 0; i + 4 <= data.length; i += wide ? 4 : 2) {
          const v = Math.sin((at + i) * 0.05 * (track + 1)) * 0.5
          if (wide) data.writeFloatLE(v, i)
          else data.writeInt16LE(Math.round(v * 32767), i)
        }
      }
      await one.e.sendFrame(frame)
      frame.free()
      await drain(one)
    }
  }
  for (const one of encoders) {
    await one.e.sendFrame(null)
    await drain(one)
    one.e.freeContext()
  }
  packet.free()
  await out.writeTrailer()
  await out.closeOutput()
  out.freeContext()
  return path
}

async function deliver(name: string, frames: number, audioFrom: DeliverySpec['audioFrom']) {
  const plate = {
    range: 'limited',
    matrix: 'bt709',
    curve: 'bt709',
    primaries: 'bt709',
    siting: 'left',
  } as const
  const format = name.endsWith('mp4') ? 'h264-preview' : 'prores-422-hq'
  const encoding = deliveryEncoding(format, plate)
  const spec = { format, width: 64, height: 48, rate: { num: 25, den: 1 }, encoding } as const
  const path = join(folder, name)
  const writer = await createWriter(path, audioFrom === undefined ? spec : { ...spec, audioFrom })
  const still = picture(writer.layout, 64, 48, 'ramp')
  for (let i = 0; i < frames; i++) await writer.write(still)
  await writer.finish()
  const back = await readBack(path, false)
  return {
    back,
    sound: back.streams.filter((s) => s.kind === 'audio'),
    findings: writer.findings.map((f) => f.code),
  }
}

const hex = (list: readonly { data: Buffer }[]) => list.map((p) => p.data.toString('hex'))

it.each([
  ['aac', 'sound.mp4', 'out-aac.mov'],
  ['aac', 'sound.mp4', 'out-aac.mp4'],
  ['pcm_s16le', 'sound.wav', 'out-pcm.mov'],
] as const)(
  'copies %s from the start, packet by packet, to the end of the pictures',
  async (coding, from, to) => {
    const path = await soundFile(from, coding, 4)
    const source = (await readBack(path, false)).streams[0]!
    const { sound, findings, back } = await deliver(to, 50, { path, startSeconds: 0, seconds: 2 })
    expect(findings).toEqual([])
    expect(back.video.packets.length).toBe(50)
    const all = Buffer.concat(source.packets.map((p) => p.data))
    const got = Buffer.concat(sound[0]!.packets.map((p) => p.data))
    expect(got.equals(all.subarray(0, got.length))).toBe(true)
    const last = sound[0]!.packets.at(-1)!
    const end = (Number(last.pts + last.duration) * sound[0]!.timeBase.num) / sound[0]!.timeBase.den
    // One packet of tolerance: the cut falls on packet borders.
    expect(end).toBeGreaterThanOrEqual(2)
    expect(end).toBeLessThan(2 + Math.max(...source.packets.map((p) => Number(p.duration))) / 48000)
  },
)

it('cuts inside: begins with the packet that holds the first moment, within one packet', async () => {
  const path = await soundFile('inside.mp4', 'aac', 4)
  const source = (await readBack(path, false)).streams[0]!
  const { sound } = await deliver('inside.mov', 25, { path, startSeconds: 1.5, seconds: 1 })
  const list = sound[0]!.packets
  const first = source.packets.findIndex((p) => p.data.equals(list[0]!.data))
  const begins = Number(source.packets[first]!.pts) / 48000
  expect(begins).toBeLessThanOrEqual(1.5)
  expect(begins).toBeGreaterThan(1.5 - 1024 / 48000)
  expect(hex(list)).toEqual(hex(source.packets.slice(first, first + list.length)))
  // In time with the picture: the same moment of the source lies at the same moment of the delivery.
  const { num, den } = sound[0]!.timeBase
  const shown = (Number(list[5]!.pts) * num) / den
  expect(Math.abs(shown - (Number(source.packets[first + 5]!.pts) / 48000 - 1.5))).toBeLessThan(1 / 1000)
})

it('copies every track and stops where the pictures stop, also earlier than asked', async () => {
  const path = await soundFile('tracks.mp4', 'aac', 4, 2)
  const { sound } = await deliver('tracks.mov', 10, { path, startSeconds: 0, seconds: 3 })
  expect(sound.length).toBe(2)
  for (const track of sound) {
    const last = track.packets.at(-1)!
    const end = (Number(last.pts + last.duration) * track.timeBase.num) / track.timeBase.den
    expect(end).toBeGreaterThanOrEqual(0.4)
    expect(end).toBeLessThan(0.4 + 2 * (1024 / 48000))
  }
})

it('leaves out a codec that the container cannot hold, and says so, never losing the picture', async () => {
  const path = await soundFile('odd.mkv', 'flac', 1)
  const { sound, findings, back } = await deliver('odd.mov', 5, { path, startSeconds: 0, seconds: 1 })
  expect(findings).toEqual(['media.audio-not-copied'])
  expect(sound).toEqual([])
  expect(back.video.packets.length).toBe(5)
})

it('says when there is no sound to copy', async () => {
  await deliver('silent.mov', 2, undefined)
  const audioFrom = { path: join(folder, 'silent.mov'), startSeconds: 0, seconds: 1 }
  expect((await deliver('silent2.mov', 2, audioFrom)).findings).toEqual(['media.no-audio'])
})
