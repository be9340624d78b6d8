import { mkdir, mkdtemp, readdir, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { inflateSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { exrHeader } from '../../../test/media/exrHeader.js'
import { picture } from '../../../test/media/pictures.js'
import { readBack } from '../../../test/media/readBack.js'
import { allocateFrame, type ColourEncoding, type NativeFrame } from '../../core/index.js'
import { createWriter, type DeliverySpec } from '../index.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-sequence-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const rgb: ColourEncoding = {
  range: 'full',
  matrix: 'rgb',
  curve: 'linear',
  primaries: 'bt2020',
  siting: 'left',
}
const rate = { num: 25, den: 1 }

async function write(path: string, spec: DeliverySpec, frames: readonly NativeFrame[]) {
  const writer = await createWriter(join(folder, path), spec)
  for (const frame of frames) await writer.write(frame)
  await writer.finish()
  return writer
}

/** Value of a half by the definition in IEEE 754-2019 §3.6. */
function halfValue(h: number): number {
  const sign = h & 0x8000 ? -1 : 1
  const [exponent, fraction] = [(h >> 10) & 31, h & 1023]
  if (exponent === 31) return fraction ? Number.NaN : sign * Number.POSITIVE_INFINITY
  return exponent === 0 ? sign * fraction * 2 ** -24 : sign * (1 + fraction / 1024) * 2 ** (exponent - 15)
}

/** Planes in the order R, G, B (, A) of a picture that the library decodes to planes of halves G, B, R (, A). */
async function halfPlanes(path: string) {
  const frame = (await readBack(join(folder, path))).frames[0]!
  const count = frame.width * frame.height
  const all = Float64Array.from(new Uint16Array(Uint8Array.from(frame.bytes).buffer), halfValue)
  const plane = (i: number) => all.subarray(i * count, (i + 1) * count)
  return { format: frame.format, planes: [plane(2), plane(0), plane(1), plane(3)] }
}

describe('exr-half', () => {
  const spec = (width: number, height: number, alpha = false): DeliverySpec => ({
    format: 'exr-half',
    width,
    height,
    rate,
    encoding: rgb,
    alpha,
  })

  it('carries every finite half through the file, exactly, in any channel', async () => {
    const frame = allocateFrame(
      { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: true },
      256,
      256,
    )
    for (let h = 0; h < 65536; h++) {
      const value = ((h >> 10) & 31) === 31 ? 1 : halfValue(h)
      for (const [c, plane] of frame.planes.entries()) plane.data[(h * (2 * c + 1) * 977 + c) & 65535] = value
    }
    const writer = await write('halves.####.exr', spec(256, 256, true), [frame])
    expect(writer.findings).toEqual([])
    const back = await halfPlanes('halves.0001.exr')
    expect(back.format).toBe('gbrapf16le')
    for (const [c, plane] of frame.planes.entries()) {
      expect(back.planes[c]!.every((v, i) => Object.is(v, plane.data[i]))).toBe(true)
    }
  })

  it('survives blocks that do not shrink, one pixel, odd sizes and heights that end inside a block', async () => {
    for (const [width, height] of [
      [1, 1],
      [65, 37],
      [3, 16],
      [17, 33],
    ] as const) {
      const frame = picture(
        { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false },
        width,
        height,
        'noise',
      )
      await write(`size/${width}.####.exr`, spec(width, height), [frame])
      const back = await halfPlanes(`size/${width}.0001.exr`)
      for (const [c, plane] of frame.planes.entries()) {
        for (const [i, v] of back.planes[c]!.entries())
          expect(Math.abs(v - plane.data[i]!)).toBeLessThanOrEqual(2 ** -12)
      }
    }
  })

  it('writes chromaticities, rate, pixel aspect and windows into the header', async () => {
    const frame = picture(
      { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false },
      64,
      48,
      'ramp',
    )
    await write('head/', { ...spec(64, 48), pixelAspect: { num: 2, den: 1 }, firstNumber: 1001 }, [
      frame,
      frame,
    ])
    expect((await readdir(join(folder, 'head'))).sort()).toEqual(['head.1001.exr', 'head.1002.exr'])
    const file = await readFile(join(folder, 'head/head.1001.exr'))
    const header = exrHeader(file)
    const floats = (name: string) => {
      const value = header.get(name)!.value
      return Array.from({ length: value.length / 4 }, (_, i) => value.readFloatLE(4 * i))
    }
    // ITU-R BT.2020 table 3.
    const bt2020 = [0.708, 0.292, 0.17, 0.797, 0.131, 0.046, 0.3127, 0.329]
    expect(floats('chromaticities')).toEqual(bt2020.map(Math.fround))
    expect(floats('pixelAspectRatio')).toEqual([2])
    expect(header.get('compression')!.value[0]).toBe(3)
    expect(header.get('framesPerSecond')!.value.readInt32LE(0)).toBe(25)
    const { video } = await readBack(join(folder, 'head/head.1001.exr'))
    expect([video.width, video.height]).toEqual([64, 48])
  })

  it('never writes NaN or infinity, and tells in which file', async () => {
    const clean = picture(
      { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false },
      32,
      20,
      'ramp',
    )
    const bad = picture(clean.layout, 32, 20, 'ramp')
    bad.planes[0]!.data.set([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e6, -3])
    const { findings } = await write('faults.####.exr', { ...spec(32, 20), firstNumber: 7 }, [clean, bad])
    expect(findings.map((f) => [f.code, f.detail.received])).toEqual([
      ['media.not-a-number', '1 in file 8'],
      ['media.beyond-half', '3 in file 8'],
    ])
    const back = await halfPlanes('faults.0008.exr')
    expect([...back.planes[0]!.subarray(0, 5)]).toEqual([0, 65504, -65504, 65504, -3])
  })

  it('writes the same bytes twice', async () => {
    const frame = picture(
      { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: true },
      65,
      37,
      'noise',
    )
    for (const name of ['once', 'twice']) await write(`${name}.####.exr`, spec(65, 37, true), [frame])
    const [a, b] = await Promise.all(['once', 'twice'].map((n) => readFile(join(folder, `${n}.0001.exr`))))
    expect(a!.equals(b!)).toBe(true)
  })
})

describe('png-16', () => {
  const spec = (curve: ColourEncoding['curve'], primaries: ColourEncoding['primaries']): DeliverySpec => ({
    format: 'png-16',
    width: 65,
    height: 37,
    rate,
    encoding: { ...rgb, curve, primaries },
    firstNumber: 0,
  })

  /** Chunks of a PNG by its specification (third edition §5.3). */
  function chunks(file: Buffer): Map<string, Buffer> {
    const found = new Map<string, Buffer>()
    for (let at = 8; at < file.length; ) {
      const size = file.readUInt32BE(at)
      const name = file.toString('latin1', at + 4, at + 8)
      const value = file.subarray(at + 8, at + 8 + size)
      found.set(name, Buffer.concat([found.get(name) ?? Buffer.alloc(0), value]))
      at += 12 + size
    }
    return found
  }

  it('holds every sample exactly', async () => {
    const frame = picture(
      { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: false },
      65,
      37,
      'noise',
    )
    frame.planes[0]!.data.set([0, 65535, 255, 256, 1])
    await write('exact.####.png', spec('pq', 'bt2020'), [frame])
    const back = (await readBack(join(folder, 'exact.0000.png'))).frames[0]!
    expect(back.format).toBe('rgb48be')
    for (const [c, plane] of frame.planes.entries()) {
      for (const [i, v] of plane.data.entries())
        if (back.bytes.readUInt16BE(2 * (3 * i + c)) !== v) expect([c, i]).toBe(v)
    }
    const size = inflateSync(chunks(await readFile(join(folder, 'exact.0000.png'))).get('IDAT')!).length
    expect(size).toBe(37 * (1 + 65 * 6))
  })

  /** cICP is primaries, transfer, matrix, full range: PNG third edition §11.3.2.6, codes of H.273. */
  it.each([
    ['pq', 'bt2020', [9, 16, 0, 1]],
    ['hlg', 'bt2020', [9, 18, 0, 1]],
    ['bt709', 'bt709', [1, 1, 0, 1]],
    ['linear', 'p3-d65', [12, 8, 0, 1]],
  ] as const)('tags %s, %s', async (curve, primaries, code) => {
    const frame = picture(
      { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: false },
      65,
      37,
      'ramp',
    )
    const name = `tag-${curve}-${primaries}`
    await write(`${name}.####.png`, spec(curve, primaries), [frame])
    const found = chunks(await readFile(join(folder, `${name}.0000.png`)))
    expect([...(found.get('cICP') ?? [])]).toEqual(code)
    expect(found.has('tEXt') || found.has('tIME')).toBe(false)
    const { tags } = (await readBack(join(folder, `${name}.0000.png`))).frames[0]!
    expect([tags.primaries, tags.curve]).toEqual(code.slice(0, 2))
  })

  it('tags sRGB by its own chunk', async () => {
    const frame = picture(
      { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: false },
      65,
      37,
      'ramp',
    )
    await write('srgb.####.png', spec('srgb', 'bt709'), [frame])
    expect(chunks(await readFile(join(folder, 'srgb.0000.png'))).has('sRGB')).toBe(true)
    const { tags } = (await readBack(join(folder, 'srgb.0000.png'))).frames[0]!
    expect([tags.primaries, tags.curve]).toEqual([1, 13])
  })

  it('says what has no tag', async () => {
    const frame = picture(
      { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: false },
      65,
      37,
      'ramp',
    )
    const { findings } = await write('untagged.####.png', spec('gamma24', 'aces-ap1'), [frame])
    expect(findings.map((f) => f.code)).toEqual(['media.tag-missing', 'media.tag-missing'])
  })
})

it('replaces files of the same names only at the end', async () => {
  await mkdir(join(folder, 'again'))
  const frame = picture(
    { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: false },
    8,
    8,
    'ramp',
  )
  const spec: DeliverySpec = {
    format: 'png-16',
    width: 8,
    height: 8,
    rate,
    encoding: { ...rgb, curve: 'srgb' },
  }
  await write('again/a.##.png', spec, [frame])
  const before = await readFile(join(folder, 'again/a.01.png'))
  const writer = await createWriter(join(folder, 'again/a.##.png'), spec)
  await writer.write(picture(frame.layout, 8, 8, 'noise'))
  expect((await readFile(join(folder, 'again/a.01.png'))).equals(before)).toBe(true)
  await writer.finish()
  expect((await readFile(join(folder, 'again/a.01.png'))).equals(before)).toBe(false)
  expect(await readdir(join(folder, 'again'))).toEqual(['a.01.png'])
})
