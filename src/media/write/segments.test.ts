import { createHash } from 'node:crypto'
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { picture } from '../../../test/media/pictures.js'
import { readBack } from '../../../test/media/readBack.js'
import { createWriter, type DeliveryFormat, deliveryEncoding, deliveryLayout } from '../index.js'
import { deliveryCodec, type MovieCodec } from './delivery.js'
import { dropSettings, openEncoder, push, tagFrame } from './encoder.js'
import { encoderFrame } from './frame.js'
import { codeTags } from './tags.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-segments-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const plate = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
} as const

async function packets(format: DeliveryFormat, from: number, to: number) {
  const path = join(folder, `${format}-${from}-${to}.${format === 'h264-preview' ? 'mp4' : 'mov'}`)
  const encoding = deliveryEncoding(format, plate)
  const spec = { format, width: 256, height: 144, rate: { num: 24, den: 1 }, encoding }
  const writer = await createWriter(path, spec)
  // Content that swings between easy and hard, so that a rate control with a memory would show it.
  for (let i = from; i < to; i++) {
    await writer.write(
      picture(writer.layout, 256, 144, (['ramp', 'noise', 'card'] as const)[(i * 5) % 3]!, i),
    )
  }
  await writer.finish()
  const list = (await readBack(path, false)).video.packets
  return { path, list, sums: list.map((p) => createHash('sha256').update(p.data).digest('hex')) }
}

it.each(['prores-422-hq', 'prores-4444', 'dnxhr-hqx'] as const)(
  '%s: two halves from any frame hold the packets of the whole, at its places',
  async (format) => {
    const whole = await packets(format, 0, 11)
    for (const at of [1, 4, 7]) {
      const [a, b] = [await packets(format, 0, at), await packets(format, at, 11)]
      expect([...a.sums, ...b.sums]).toEqual(whole.sums)
      const step = whole.list[1]!.pts - whole.list[0]!.pts
      expect(b.list.map((p) => p.pts + step * BigInt(at))).toEqual(whole.list.slice(at).map((p) => p.pts))
    }
    expect(whole.list.every((p) => p.key)).toBe(true)
  },
)

it('h264-preview: halves that meet at a segment hold the packets of the whole', async () => {
  const whole = await packets('h264-preview', 0, 60)
  const [a, b] = [await packets('h264-preview', 0, 48), await packets('h264-preview', 48, 60)]
  expect([...a.sums, ...b.sums]).toEqual(whole.sums)
  // Players seek to marked frames: a group's first is one, and not every frame is.
  expect([whole.list[0]!.key, whole.list[48]!.key]).toEqual([true, true])
  expect(whole.list.every((p) => p.key)).toBe(false)
  const [one, two] = [await readFile(whole.path), await readFile((await packets('h264-preview', 0, 60)).path)]
  expect(one.equals(two)).toBe(true)
})

it('h264-preview: the packets do not depend on the processor (plain C as the outside)', async () => {
  const [width, height] = [720, 406]
  const layout = deliveryLayout('h264-preview')
  const own = deliveryCodec('h264-preview')
  if (own.kind !== 'movie') throw new Error('no movie')
  const encoded = async (codec: MovieCodec) => {
    const spec = {
      format: 'h264-preview',
      width,
      height,
      rate: { num: 24, den: 1 },
      encoding: plate,
    } as const
    const size = { width, height }
    const context = openEncoder({ codec, spec, size, tags: codeTags(plate) })
    const out: Buffer[] = []
    for (let i = 0; i <= 12; i++) {
      const kind = (['ramp', 'card', 'noise'] as const)[i % 3]!
      const frame =
        i < 12 ? encoderFrame(picture(layout, width, height, kind, i), codec.pixelFormat, size) : null
      if (frame !== null) tagFrame(frame, codeTags(plate), spec, i)
      for (const packet of await push(context, frame)) {
        dropSettings(packet)
        out.push(Buffer.from(packet.data!))
        packet.free()
      }
      frame?.free()
    }
    context.freeContext()
    return Buffer.concat(out)
  }
  const plain = { ...own.options, 'x264-params': `${own.options['x264-params']}:asm=0` }
  expect((await encoded(own)).equals(await encoded({ ...own, options: plain }))).toBe(true)
})
