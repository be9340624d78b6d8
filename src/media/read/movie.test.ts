import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { cutFile, type Movie, makeMovie, noise } from '../../../test/media/fixture.js'
import type { NativeFrame } from '../../core/index.js'
import type { OpenOptions, Source } from '../types.js'
import { openSource } from './open.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-movie-'))
})
afterAll(() => rm(folder, { recursive: true }))

let serial = 0
async function made(m: Movie, ending = 'mkv', options: OpenOptions = {}): Promise<Source> {
  const path = join(folder, `${serial++}.${ending}`)
  await makeMovie(path, m)
  return openSource(path, options)
}

const bytesOf = (f: NativeFrame) =>
  Buffer.concat(f.planes.map((p) => Buffer.from(p.data.buffer, p.data.byteOffset, p.data.byteLength)))

async function all(s: Source, first?: number, count?: number): Promise<Buffer[]> {
  const out: Buffer[] = []
  for await (const f of s.frames(first, count)) out.push(bytesOf(f))
  return out
}

const pictures = (format: string, w: number, h: number, bits: number, n: number) =>
  Array.from({ length: n }, (_, i) => noise(format, w, h, bits, i))
const lossless = (
  format: string,
  w: number,
  h: number,
  bits: number,
  n = 3,
  more: Partial<Movie> = {},
): Movie => ({
  encoder: 'ffv1',
  format,
  width: w,
  height: h,
  frames: pictures(format, w, h, bits, n),
  ...more,
})
const x264 = (n: number, more: Partial<Movie> = {}): Movie => ({
  ...lossless('yuv420p', 32, 16, 8, n),
  encoder: 'libx264',
  options: { qp: 0, preset: 'ultrafast' },
  ...more,
})

describe('movies', () => {
  it.each([
    ['yuv420p', 8],
    ['yuv422p', 8],
    ['yuv444p', 8],
    ['yuv411p', 8],
    ['yuv420p10le', 10],
    ['yuv422p10le', 10],
    ['yuva444p10le', 10],
    ['yuva420p', 8],
    ['yuv444p16le', 16],
  ] as const)('gives back %s planes exactly, odd sizes too', async (format, bits) => {
    for (const [w, h] of [
      [32, 16],
      [33, 17],
    ] as const) {
      const m = lossless(format, w, h, bits, 2)
      expect(await all(await made(m))).toEqual(m.frames)
    }
  })

  it('gives back H.264 8-bit and HEVC 10-bit planes, with reordered frames', async () => {
    for (const [encoder, format, bits, options] of [
      ['libx264', 'yuv420p', 8, { qp: 0, preset: 'medium' }],
      ['libx265', 'yuv420p10le', 10, { 'x265-params': 'lossless=1:bframes=0:log-level=none' }],
    ] as const) {
      const m = { ...lossless(format, 64, 64, bits, 6), encoder, options }
      const s = await made(m, 'mp4')
      expect(s.info.frameCount).toBe(6)
      expect(await all(s)).toEqual(m.frames)
    }
  })

  it('reads alpha of ProRes 4444 and VP9', async () => {
    const p = await made(
      { ...lossless('yuva444p10le', 32, 32, 10, 1), encoder: 'prores_ks', options: { alpha_bits: 16 } },
      'mov',
    )
    expect(p.info.layout).toMatchObject({ family: 'yuv', bits: 12, subX: 0, subY: 0, alpha: true })
    expect(p.info.alphaHint?.kind).toBe('straight')
    const v = await made(
      { ...lossless('yuva420p', 32, 32, 8, 2), encoder: 'libvpx-vp9', options: { lossless: 1 } },
      'webm',
    )
    expect(v.info.layout.alpha).toBe(true)
    expect((await all(v)).length).toBe(2)
  })

  it('reads any frame alone as in the sequence', async () => {
    const m = x264(40, { options: { qp: 0, g: 6, preset: 'medium' } })
    const s = await made(m, 'mp4')
    for (const i of [39, 0, 17, 18, 5, 30, 29, 1])
      expect(await all(s, i, 2)).toEqual(m.frames.slice(i, i + 2))
    expect(await all(s, 38)).toEqual(m.frames.slice(38))
    expect(await all(s, 40)).toEqual([])
    await s.close()
  })

  it('can be read by two at once and left early', async () => {
    const m = x264(12)
    const s = await made(m, 'mp4')
    const [a, b] = await Promise.all([all(s, 0, 12), all(s, 6, 6)])
    expect(a).toEqual(m.frames)
    expect(b).toEqual(m.frames.slice(6))
    for await (const f of s.frames()) {
      expect(bytesOf(f)).toEqual(m.frames[0])
      break
    }
    expect(await all(s, 1, 1)).toEqual([m.frames[1]])
  })

  it('keeps a constant rate whose timestamps are rounded, and says which it is', async () => {
    // Matroska rounds to milliseconds: 1001/24000 s becomes 41 or 42.
    const s = await made(lossless('yuv420p', 16, 16, 8, 60, { tick: [1001, 24000], rate: [24000, 1001] }))
    expect(s.info.rate).toEqual({ num: 24000, den: 1001 })
    expect(s.info.conform).toEqual({ repeated: [], dropped: [] })
    expect(s.info.frameCount).toBe(60)
    expect(s.info.findings).toEqual([])
  })

  it('conforms a variable rate and lists what it did', async () => {
    // At 30 a second: a pause of three frames after the fourth, and one frame 4 ms after its neighbour.
    const times = [0, 33, 67, 100, 233, 267, 271, 300, 333, 367, 400, 433]
    const m = lossless('yuv420p', 16, 16, 8, times.length, { tick: [1, 1000], times, rate: [30, 1] })
    const s = await made(m)
    expect(s.info.rate).toEqual({ num: 30, den: 1 })
    expect(s.info.conform.dropped).toEqual([6])
    // 133, 167 and 200 ms have no frame of their own: the nearest stands in.
    const shown = [0, 1, 2, 3, 3, 4, 4, 4, 5, 7, 8, 9, 10, 11]
    expect(s.info.conform.repeated).toEqual([4, 6, 7])
    expect(await all(s)).toEqual(shown.map((i) => m.frames[i]))
    expect(await all(s, 6, 3)).toEqual([4, 4, 5].map((i) => m.frames[i]))
    expect(s.info.findings.map((f) => f.code)).toEqual(['media.variable-rate'])
  })

  it('takes tags from the picture, then the container, and says when they disagree', async () => {
    const s = await made(x264(1, { tags: [1, 9, 16, 9], containerTags: [1, 1, 1, 1] }), 'mov')
    expect(s.info.encoding).toMatchObject({
      range: 'limited',
      primaries: 'bt2020',
      curve: 'pq',
      matrix: 'bt2020',
    })
    expect(s.info.encodingEvidence.curve).toMatchObject({
      kind: 'measured',
      method: 'frame tag',
      confidence: 1,
    })
    expect(s.info.findings.map((f) => f.code)).toEqual(Array(3).fill('media.tag-conflict'))
    const c = await made(x264(1, { containerTags: [1, 9, 18, 9] }), 'mov')
    expect(c.info.encoding.curve).toBe('hlg')
    expect(c.info.encodingEvidence.curve).toMatchObject({ kind: 'measured', method: 'stream tag' })
    const u = await made(x264(1), 'mov')
    expect(u.info.encoding).toMatchObject({ range: 'limited', matrix: 'bt601', curve: 'bt709' })
    for (const part of ['range', 'matrix', 'curve', 'primaries'] as const) {
      expect(u.info.encodingEvidence[part].kind).toBe('assumed')
    }
    const o = await made(x264(1), 'mov', { encoding: { matrix: 'bt709' }, rate: { num: 25, den: 1 } })
    expect(o.info.encodingEvidence.matrix.kind).toBe('set')
    expect(o.info.rate).toEqual({ num: 25, den: 1 })
  })

  it('honours full range', async () => {
    const s = await made(x264(1, { format: 'yuvj420p', tags: [2, 1, 1, 1] }), 'mp4')
    expect(s.info.encoding.range).toBe('full')
  })

  it.each([
    ['a quarter clockwise', [0, 1, 0, -1, 0, 0, 0, 0, 1], 90, 'top'],
    ['half a turn', [-1, 0, 0, 0, -1, 0, 0, 0, 1], 180, 'right'],
    ['a quarter the other way', [0, -1, 0, 1, 0, 0, 0, 0, 1], 270, 'bottom'],
  ] as const)('bakes in %s', async (_, matrix, degrees, siting) => {
    const m = x264(1, { matrix })
    const s = await made(m, 'mp4')
    const side = degrees !== 180
    expect(s.info).toMatchObject({ rotation: degrees, width: side ? 16 : 32, height: side ? 32 : 16 })
    expect(s.info.encoding.siting).toBe(siting)
    const [frame] = await all(s)
    // A point (p, q) of the stored luma goes to (a·p + c·q, b·p + d·q), moved back into the picture.
    const at = (p: number, q: number): [number, number] =>
      degrees === 90 ? [15 - q, p] : degrees === 180 ? [31 - p, 15 - q] : [q, 31 - p]
    const width = side ? 16 : 32
    for (let q = 0; q < 16; q++) {
      for (let p = 0; p < 32; p++) {
        const [x, y] = at(p, q)
        expect(frame[y * width + x]).toBe(m.frames[0][q * 32 + p])
      }
    }
  })

  it('turns 4:2:2 into 4:4:0 and refuses what has no exact place', async () => {
    const matrix = [0, 1, 0, -1, 0, 0, 0, 0, 1]
    const s = await made(
      x264(1, { format: 'yuv422p', frames: pictures('yuv422p', 32, 16, 8, 1), matrix }),
      'mp4',
    )
    expect(s.info.layout).toMatchObject({ subX: 0, subY: 1 })
    const odd = { ...lossless('yuv420p', 33, 17, 8, 1), encoder: 'mpeg4', matrix }
    await expect(made(odd, 'mov')).rejects.toMatchObject({ code: 'media.rotation-odd', exit: 2 })
  })

  it('keeps pixel aspect and timecode', async () => {
    const m = { ...lossless('yuv422p10le', 64, 32, 10, 2), encoder: 'prores_ks', aspect: [4, 3] } as const
    const s = await made({ ...m, metadata: { timecode: '01:02:03:04' } }, 'mov')
    expect(s.info.pixelAspect).toEqual({ num: 4, den: 3 })
    expect(s.info.timecode).toBe('01:02:03:04')
    expect(s.info.codec).toBe('prores')
  })

  it('refuses interlaced material by its frames', async () => {
    const m = x264(2, {
      interlaced: true,
      options: { qp: 0, preset: 'medium', 'x264-params': 'tff=1' },
      height: 32,
    })
    const big = { ...m, frames: pictures('yuv420p', 32, 32, 8, 2) }
    await expect(made(big, 'mp4')).rejects.toMatchObject({ code: 'media.interlaced', exit: 2 })
  })

  it('refuses bad files clearly', async () => {
    const good = join(folder, 'good.mp4')
    await makeMovie(good, x264(30))
    await cutFile(good, join(folder, 'cut.mp4'), 0.6)
    await writeFile(join(folder, 'text.mov'), 'not a movie\n'.repeat(50))
    await writeFile(join(folder, 'empty.mp4'), '')
    const front = join(folder, 'front.mp4')
    await makeMovie(front, x264(30, { muxer: { movflags: '+faststart' } }))
    await cutFile(front, join(folder, 'tail.mp4'), 0.6)
    // RIFF WAVE: 8 kHz, one channel, 16 bits, 4 samples of silence.
    const wav = Buffer.from(
      `RIFF\x2c\0\0\0WAVEfmt \x10\0\0\0\x01\0\x01\0\x40\x1f\0\0\x80\x3e\0\0\x02\0\x10\0data\x08\0\0\0`,
      'latin1',
    )
    await writeFile(join(folder, 'sound.wav'), Buffer.concat([wav, Buffer.alloc(8)]))
    await makeMovie(join(folder, 'none.avi'), x264(0))
    const cases = [
      ['tail.mp4', 'media.file-cut-short'],
      ['sound.wav', 'media.no-video'],
      ['none.avi', 'media.no-frames'],
      ['cut.mp4', 'media.index-missing'],
      ['text.mov', 'media.file-unreadable'],
      ['empty.mp4', 'media.file-unreadable'],
      ['missing.mp4', 'media.file-missing'],
    ] as const
    for (const [name, code] of cases) {
      await expect(openSource(join(folder, name))).rejects.toMatchObject({ code, exit: 2 })
    }
  })

  it('names the damaged frame and reads on after it', async () => {
    const m = x264(12, { options: { qp: 0, g: 1, preset: 'ultrafast' } })
    const path = join(folder, 'damaged.mp4')
    await makeMovie(path, m)
    const bytes = await readFile(path)
    const start = bytes.indexOf('mdat') + 4
    const from = start + Math.floor(((bytes.length - start) * 5) / 12)
    bytes.fill(0x5a, from, from + 500)
    await writeFile(path, bytes)
    const s = await openSource(path)
    await expect(all(s)).rejects.toMatchObject({ code: 'media.damaged-frame', exit: 2 })
    expect((await all(s, 9)).length).toBe(3)
  })
})
