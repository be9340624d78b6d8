import { copyFile, mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { exrFile } from '../../../test/media/exrFile.js'
import { cutFile, makePicture, noise } from '../../../test/media/fixture.js'
import { floatTiff } from '../../../test/media/floatTiff.js'
import { rgbToXyz } from '../../colour/index.js'
import type { Chromaticities, NativeFrame } from '../../core/index.js'
import { encodeStill } from '../still.js'
import type { Source } from '../types.js'
import { openSource } from './open.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-pictures-'))
})
afterAll(() => rm(folder, { recursive: true }))

async function firstOf(s: Source): Promise<NativeFrame> {
  for await (const f of s.frames(0, 1)) return f
  throw new Error('no frame')
}

/** Samples of a packed picture, one array a channel. */
function channels(bytes: Buffer, count: number, word: 'u8' | 'le' | 'be' | 'float'): number[][] {
  const read = {
    u8: (i: number) => bytes[i],
    le: (i: number) => bytes.readUInt16LE(2 * i),
    be: (i: number) => bytes.readUInt16BE(2 * i),
    float: (i: number) => bytes.readFloatLE(4 * i),
  }[word]
  const total = bytes.length / { u8: 1, le: 2, be: 2, float: 4 }[word]
  return Array.from({ length: count }, (_, c) =>
    Array.from({ length: total / count }, (_, i) => read(count * i + c)),
  )
}

const planes = (f: NativeFrame) => f.planes.map((p) => Array.from(p.data))

describe('pictures', () => {
  it.each([
    ['png', 'png', 'rgb24', 8, 3, 'u8'],
    ['png', 'png', 'rgba', 8, 4, 'u8'],
    ['png', 'png', 'rgb48be', 16, 3, 'be'],
    ['png', 'png', 'rgba64be', 16, 4, 'be'],
    ['tif', 'tiff', 'rgb24', 8, 3, 'u8'],
    ['tif', 'tiff', 'rgb48le', 16, 3, 'le'],
    ['tif', 'tiff', 'rgba64le', 16, 4, 'le'],
  ] as const)('%s by %s, %s: exact, sRGB assumed', async (ending, encoder, format, bits, count, word) => {
    const path = join(folder, `still-${format}.${ending}`)
    const bytes = noise(format, 13, 7, bits === 16 ? 16 : 8, 3)
    await makePicture(path, encoder, format, 13, 7, bytes)
    const s = await openSource(path)
    expect(s.info).toMatchObject({ kind: 'still', width: 13, height: 7, frameCount: 1 })
    expect(s.info.layout).toMatchObject({ family: 'rgb', bits, alpha: count === 4 })
    expect(s.info.encoding).toMatchObject({ range: 'full', curve: 'srgb', primaries: 'bt709', matrix: 'rgb' })
    expect(s.info.encodingEvidence.curve.kind).toBe('assumed')
    // [png3 §6.2]: never multiplied. It has no field for that, whatever the decoder reports.
    if (ending === 'png' && count === 4)
      expect(s.info.alphaHint).toMatchObject({ kind: 'straight', known: false })
    expect(planes(await firstOf(s))).toEqual(channels(bytes, count, word))
  })

  it('reads float TIFF exactly, linear assumed', async () => {
    const v = Float32Array.from([1.5, -2, 3e8, Number.NaN, 0.1, 7, 0, 1, 2, 3, 4, 5])
    const bytes = Buffer.from(v.buffer)
    const path = join(folder, 'float.tif')
    await writeFile(path, floatTiff(2, 2, bytes))
    const s = await openSource(path)
    expect(s.info.layout).toMatchObject({ float: true, bits: 32 })
    expect(s.info.encoding.curve).toBe('linear')
    expect(planes(await firstOf(s))).toEqual(channels(bytes, 3, 'float'))
  })

  it('expands grey, with alpha too', async () => {
    const path = join(folder, 'grey.png')
    const bytes = noise('ya8', 5, 4, 8, 1)
    await makePicture(path, 'png', 'ya8', 5, 4, bytes)
    const [l, a] = channels(bytes, 2, 'u8')
    expect(planes(await firstOf(await openSource(path)))).toEqual([l, l, l, a])
  })

  it('reads 10-bit DPX exactly', async () => {
    const path = join(folder, 'ten.dpx')
    const bytes = noise('gbrp10le', 16, 8, 10, 2)
    await makePicture(path, 'dpx', 'gbrp10le', 16, 8, bytes)
    const s = await openSource(path)
    expect(s.info.layout).toMatchObject({ family: 'rgb', bits: 10 })
    const all = channels(bytes, 1, 'le')[0]
    const [g, b, r] = [0, 1, 2].map((i) => all.slice(128 * i, 128 * (i + 1)))
    expect(planes(await firstOf(s))).toEqual([r, g, b])
  })

  it('round-trips stills', async () => {
    const rgb = Uint8Array.from({ length: 30 * 20 * 3 }, (_, i) => (i * 3) % 251)
    await writeFile(join(folder, 'still.png'), await encodeStill(rgb, 30, 20, 'png'))
    expect(planes(await firstOf(await openSource(join(folder, 'still.png'))))).toEqual(
      channels(Buffer.from(rgb), 3, 'u8'),
    )
    const flat = Uint8Array.from({ length: 32 * 32 * 3 }, (_, i) => [200, 60, 30][i % 3])
    await writeFile(join(folder, 'still.jpg'), await encodeStill(flat, 32, 32, 'jpeg', 95))
    const s = await openSource(join(folder, 'still.jpg'))
    expect(s.info.encoding).toMatchObject({ range: 'full', matrix: 'bt601', curve: 'srgb' })
    // JFIF: Y = 0.299 R + 0.587 G + 0.114 B.
    expect(
      Math.abs((await firstOf(s)).planes[0].data[500] - (0.299 * 200 + 0.587 * 60 + 0.114 * 30)),
    ).toBeLessThan(2)
  })
})

describe('OpenEXR', () => {
  const values = (n: number) => Float32Array.from({ length: n }, (_, i) => i / 3 - 5)

  it('puts the data window into the display window', async () => {
    const path = join(folder, 'window.exr')
    const [w, h] = [5, 4]
    const v = values(w * h)
    await writeFile(
      path,
      exrFile({ channels: { B: v, G: v, R: v }, data: [-2, 8, w, h], display: [0, 10, 6, 5] }),
    )
    const s = await openSource(path)
    expect(s.info).toMatchObject({ width: 6, height: 5, dataWindow: { x: -2, y: -2, width: 5, height: 4 } })
    const expected = Array(30).fill(0)
    for (let y = 0; y < 5; y++) {
      for (let x = 0; x < 6; x++) if (x + 2 < w && y + 2 < h) expected[y * 6 + x] = v[(y + 2) * w + x + 2]
    }
    expect(Array.from((await firstOf(s)).planes[0].data)).toEqual(expected)
  })

  it('keeps NaN, infinity, negatives and large values', async () => {
    const v = Float32Array.from([Number.NaN, Number.POSITIVE_INFINITY, -1e30, 3e38, -0, 0.1])
    const path = join(folder, 'odd.exr')
    await writeFile(
      path,
      exrFile({ channels: { A: v, B: v, G: v, R: v }, data: [0, 0, 3, 2], display: [0, 0, 3, 2] }),
    )
    const s = await openSource(path)
    expect(s.info.alphaHint).toMatchObject({ kind: 'premultiplied', known: false })
    for (const p of (await firstOf(s)).planes) expect(Array.from(p.data)).toEqual(Array.from(v))
  })

  it('names primaries by chromaticities', async () => {
    const v = values(4)
    const at = { channels: { B: v, G: v, R: v }, data: [0, 0, 2, 2], display: [0, 0, 2, 2] } as const
    const path = join(folder, 'prim.exr')
    // SMPTE ST 2065-1 (AP0).
    const ap0 = [0.7347, 0.2653, 0, 1, 0.0001, -0.077, 0.32168, 0.33767]
    await writeFile(path, exrFile({ ...at, chromaticities: ap0 }))
    const s = await openSource(path)
    expect(s.info.encoding).toMatchObject({ primaries: 'aces-ap0', curve: 'linear', range: 'full' })
    expect(s.info.encodingEvidence.primaries).toMatchObject({
      kind: 'measured',
      method: 'chromaticities attribute',
    })
    await writeFile(path, exrFile({ ...at, chromaticities: [0.6, 0.3, 0.3, 0.6, 0.15, 0.1, 0.3, 0.3] }))
    const u = await openSource(path)
    const { red, white } = u.info.encoding.primaries as Chromaticities
    expect([...red, ...white].map((v) => v.toFixed(4))).toEqual(['0.6000', '0.3000', '0.3000', '0.3000'])
    expect(u.info.findings).toEqual([])
    // opRGB has no name here; its matrix to XYZ as printed in IEC 61966-2-5 (from memory).
    await writeFile(
      path,
      exrFile({ ...at, chromaticities: [0.64, 0.33, 0.21, 0.71, 0.15, 0.06, 0.3127, 0.329] }),
    )
    const own = (await openSource(path)).info.encoding.primaries
    const printed = [0.57667, 0.18556, 0.18823, 0.29734, 0.62736, 0.07529, 0.02703, 0.07069, 0.99134]
    for (const [i, v] of rgbToXyz(own).entries()) expect(Math.abs(v - printed[i])).toBeLessThan(2e-4)
    // All in a line: no colour space.
    await writeFile(path, exrFile({ ...at, chromaticities: [0.6, 0.3, 0.3, 0.3, 0.1, 0.3, 0.3, 0.3] }))
    const none = await openSource(path)
    expect(none.info.encoding.primaries).toBe('bt709')
    expect(none.info.findings.map((f) => f.code)).toEqual(['media.unknown-primaries'])
  })

  it('refuses what it cannot read exactly', async () => {
    const v = values(4)
    const at = { data: [0, 0, 2, 2], display: [0, 0, 2, 2] } as const
    const cases = [
      [exrFile({ ...at, channels: { Z: v } }), 'media.exr-no-colour'],
      [exrFile({ ...at, channels: { 'fg.B': v, 'fg.G': v, 'fg.R': v } }), 'media.exr-no-colour'],
      [
        exrFile({ ...at, channels: { B: v, G: v, R: v }, kinds: { B: { type: 'uint' } } }),
        'media.exr-integers',
      ],
      [exrFile({ ...at, channels: { B: v, G: v, R: v } }).subarray(0, -9), 'media.damaged-frame'],
      [exrFile({ ...at, channels: { B: v, G: v, R: v } }).subarray(0, 60), 'media.damaged-frame'],
    ] as const
    for (const [i, [bytes, code]] of cases.entries()) {
      const path = join(folder, `bad${'abcde'[i]}.exr`)
      await writeFile(path, bytes)
      await expect(openSource(path), code).rejects.toMatchObject({ code, exit: 2 })
    }
  })

  it('names channels that it passes over', async () => {
    const v = values(4)
    const path = join(folder, 'extra.exr')
    await writeFile(
      path,
      exrFile({ channels: { B: v, G: v, R: v, Z: v }, data: [0, 0, 2, 2], display: [0, 0, 2, 2] }),
    )
    const s = await openSource(path)
    expect(s.info.findings.map((f) => f.code)).toEqual(['media.exr-channels-unused'])
    expect(Array.from((await firstOf(s)).planes[2].data)).toEqual(Array.from(v))
  })
})

describe('sequences', () => {
  const png = (value: number, w = 4, h = 4) => encodeStill(new Uint8Array(w * h * 3).fill(value), w, h, 'png')
  async function shelf(name: string, files: Readonly<Record<string, number>>): Promise<string> {
    const at = join(folder, name)
    await mkdir(at)
    for (const [file, value] of Object.entries(files)) await writeFile(join(at, file), await png(value))
    return at
  }
  const first = async (s: Source) => {
    const out: number[] = []
    for await (const f of s.frames()) out.push(f.planes[0].data[0])
    return out
  }

  it('opens by pattern, by first file and by folder', async () => {
    const at = await shelf('plain', {
      's.0008.png': 8,
      's.0009.png': 9,
      's.0010.png': 10,
      'notes.txt.png~': 1,
    })
    for (const path of ['s.####.png', 's.%04d.png', 's.#.png', 's.0008.png', '']) {
      const s = await openSource(join(at, path))
      expect(s.info).toMatchObject({
        kind: 'sequence',
        firstNumber: 8,
        frameCount: 3,
        rate: { num: 24, den: 1 },
      })
      expect(s.info.rateEvidence.kind).toBe('assumed')
      expect(await first(s)).toEqual([8, 9, 10])
    }
    const later = await openSource(join(at, 's.0009.png'))
    expect(later.info).toMatchObject({ firstNumber: 9, frameCount: 2 })
    const some: number[] = []
    for await (const f of later.frames(1, 5)) some.push(f.planes[0].data[0])
    expect(some).toEqual([10])
    await expect(openSource(join(at, 's.###.png'))).rejects.toMatchObject({ code: 'media.file-missing' })
  })

  it('orders unpadded numbers as numbers', async () => {
    const at = await shelf('unpadded', { 's.8.png': 8, 's.9.png': 9, 's.10.png': 10 })
    expect(await first(await openSource(join(at, 's.8.png')))).toEqual([8, 9, 10])
    expect(await first(await openSource(join(at, 's.%d.png')))).toEqual([8, 9, 10])
  })

  it('takes a numbered file without siblings as a still', async () => {
    const at = await shelf('single', { 'a_07.png': 7, 'b_08.png': 8 })
    expect((await openSource(join(at, 'a_07.png'))).info).toMatchObject({ kind: 'still', frameCount: 1 })
  })

  it('lists missing frames by number', async () => {
    const at = await shelf('holes', { 's.001.png': 1, 's.003.png': 3, 's.007.png': 7 })
    const problem = openSource(join(at, 's.###.png'))
    await expect(problem).rejects.toMatchObject({ code: 'media.sequence-hole', exit: 2 })
    await expect(problem).rejects.toThrow(/no file for 2, 4–6/)
  })

  it('refuses folders that hold none or several', async () => {
    const none = await shelf('none', {})
    await expect(openSource(none)).rejects.toMatchObject({ code: 'media.folder-empty', exit: 2 })
    const two = await shelf('two', { 'a.1.png': 1, 'b.1.png': 1 })
    await expect(openSource(two)).rejects.toMatchObject({ code: 'media.folder-several', exit: 2 })
  })

  it('refuses mixed sizes and layouts, naming the file', async () => {
    const at = await shelf('mixed', { 's.1.png': 1 })
    await writeFile(join(at, 's.2.png'), await png(2, 5, 4))
    const sizes = openSource(join(at, 's.#.png'))
    await expect(sizes).rejects.toMatchObject({ code: 'media.mixed-size' })
    await expect(sizes).rejects.toThrow(/s\.2\.png/)
    await makePicture(join(at, 's.2.png'), 'png', 'rgba', 4, 4, noise('rgba', 4, 4, 8, 1))
    const s = await openSource(join(at, 's.1.png'))
    await expect(first(s)).rejects.toMatchObject({ code: 'media.mixed-layout' })
  })

  it('fills up alpha pictures that waver by a pixel', async () => {
    const at = await shelf('wavering', {})
    const bytes = noise('rgba', 3, 4, 8, 1)
    await makePicture(join(at, 's.1.png'), 'png', 'rgba', 3, 4, bytes)
    await makePicture(join(at, 's.2.png'), 'png', 'rgba', 4, 4, noise('rgba', 4, 4, 8, 2))
    const s = await openSource(at)
    expect(s.info).toMatchObject({ width: 4, height: 4 })
    expect(s.info.findings.map((f) => f.code)).toEqual(['media.uneven-size'])
    const red = channels(bytes, 4, 'u8')[0]
    expect(planes(await firstOf(s))[0]).toEqual(
      [0, 1, 2, 3].flatMap((y) => [...red.slice(3 * y, 3 * y + 3), 0]),
    )
  })

  it('refuses damaged pictures and files that are none', async () => {
    const at = await shelf('damaged', { 'good.png': 9 })
    await writeFile(
      join(at, 'big.png'),
      await encodeStill(Uint8Array.from(noise('rgb24', 64, 64, 8, 1)), 64, 64, 'png'),
    )
    await cutFile(join(at, 'big.png'), join(at, 'cut.png'), 0.5)
    await writeFile(
      join(at, 'big.jpg'),
      await encodeStill(Uint8Array.from(noise('rgb24', 64, 64, 8, 1)), 64, 64, 'jpeg'),
    )
    await cutFile(join(at, 'big.jpg'), join(at, 'cut.jpg'), 0.5)
    await makePicture(join(at, 'big.tif'), 'tiff', 'rgb24', 64, 64, noise('rgb24', 64, 64, 8, 1))
    await cutFile(join(at, 'big.tif'), join(at, 'cut.tif'), 0.5)
    await makePicture(join(at, 'big.dpx'), 'dpx', 'gbrp10le', 64, 64, noise('gbrp10le', 64, 64, 10, 1))
    await cutFile(join(at, 'big.dpx'), join(at, 'cut.dpx'), 0.5)
    for (const name of ['cut.png', 'cut.jpg', 'cut.tif', 'cut.dpx']) {
      await expect(openSource(join(at, name)), name).rejects.toMatchObject({
        code: 'media.damaged-frame',
        exit: 2,
      })
    }
    const flipped = await readFile(join(at, 'big.png'))
    flipped[2000] ^= 255
    await writeFile(join(at, 'flipped.png'), flipped)
    await expect(openSource(join(at, 'flipped.png'))).rejects.toMatchObject({ code: 'media.damaged-frame' })
    await writeFile(join(at, 'text.png'), 'hello')
    await copyFile(join(at, 'text.png'), join(at, 'zero.exr')).then(() => writeFile(join(at, 'zero.exr'), ''))
    for (const name of ['text.png', 'zero.exr']) {
      await expect(openSource(join(at, name))).rejects.toMatchObject({
        code: 'media.file-unreadable',
        exit: 2,
      })
    }
  })
})

describe('pictures larger than the memory', () => {
  it('are refused by their header, before anything is decoded', async () => {
    const png = Buffer.from(await encodeStill(new Uint8Array(12), 2, 2, 'png'))
    png.writeUInt32BE(900_000, 16)
    png.writeUInt32BE(900_000, 20)
    const dpx = await (async () => {
      const path = join(folder, 'large.dpx')
      await makePicture(path, 'dpx', 'gbrp10le', 16, 8, noise('gbrp10le', 16, 8, 10, 2))
      const bytes = await readFile(path)
      const write = bytes.toString('latin1', 0, 4) === 'SDPX' ? bytes.writeUInt32BE : bytes.writeUInt32LE
      write.call(bytes, 900_000, 772)
      write.call(bytes, 900_000, 776)
      return bytes
    })()
    const v = Float32Array.from([1])
    const at = { data: [0, 0, 1, 1], display: [0, 0, 900_000, 900_000] } as const
    const exr = exrFile({ channels: { B: v, G: v, R: v }, ...at })
    for (const [name, bytes] of [
      ['large.png', png],
      ['large.dpx', dpx],
      ['large.exr', exr],
    ] as const) {
      const path = join(folder, name)
      await writeFile(path, bytes)
      const opened = openSource(path)
      await expect(opened, name).rejects.toMatchObject({ code: 'media.picture-too-large', exit: 2 })
      await expect(opened).rejects.toThrow(/900000×900000/)
    }
  })
})
