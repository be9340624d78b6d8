// Oracle: the codec library's own converter repacks a random planar picture into each format; unpacking must give the
// planes back. Formats that it converts with a change of range, colour or rounding, or cannot write, are left out.

import type { AVPixelFormat, SwsFlags } from 'node-av/constants'
import { AV_LOG_QUIET, SWS_ACCURATE_RND, SWS_POINT } from 'node-av/constants'
import { avGetPixFmtFromName, Frame, Log, SoftwareScaleContext } from 'node-av/lib'
import { beforeAll, describe, expect, it } from 'vitest'
import { frameOf } from '../../test/media/avFrame.js'
import { noise } from '../../test/media/fixture.js'
import { fromAvFrame } from './avframe.js'
import { allFormats, findFormat, formatNamed, type PixelFormat } from './formats.js'
import { halfToFloat } from './half.js'
import { unpackSamples } from './samples.js'

const inexact = new Set(['gbrp10msble', 'gbrp10msbbe', 'gbrp12msble', 'gbrp12msbbe', 'xyz12le', 'xyz12be'])
const [width, height] = [18, 10]

function planarName({ layout: l, grey }: PixelFormat): string {
  const a = l.alpha ? 'a' : ''
  const bits = l.bits === 8 ? '' : l.bits === 32 ? 'f32le' : `${l.bits}le`
  if (grey && l.alpha) return l.bits === 8 ? 'ya8' : `ya${l.bits === 32 ? 'f32' : l.bits}le`
  if (grey) return `gray${bits}`
  if (l.family === 'rgb') return `gbr${a}p${bits}`
  return `yuv${a}4${['44', '40', '22', '20', '11'][2 * l.subX + l.subY]}p${bits}`
}

function referencePlanes(bytes: Buffer, { layout: l, grey }: PixelFormat): ArrayLike<number>[] {
  const all = l.float
    ? new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4)
    : l.bits > 8
      ? new Uint16Array(bytes.buffer, bytes.byteOffset, bytes.length / 2)
      : bytes
  if (grey && l.alpha) {
    const luma = all.filter((_, i) => i % 2 === 0)
    return [luma, luma, luma, all.filter((_, i) => i % 2 === 1)]
  }
  if (grey) return [all, all, all]
  const whole = width * height
  const chroma = l.family === 'yuv' ? Math.ceil(width / 2 ** l.subX) * Math.ceil(height / 2 ** l.subY) : whole
  const stored = [whole, chroma, chroma, ...(l.alpha ? [whole] : [])]
  let at = 0
  const planes = stored.map((n) => {
    at += n
    return all.slice(at - n, at)
  })
  return l.family === 'rgb' ? [2, 0, 1, 3].slice(0, planes.length).map((i) => planes[i]) : planes
}

async function repack(from: string, to: AVPixelFormat, bytes: Buffer): Promise<Frame | undefined> {
  const source = avGetPixFmtFromName(from as never)
  const input = frameOf(bytes, width, height, source)
  const output = new Frame()
  output.alloc()
  Object.assign(output, { width, height, format: to })
  output.getBuffer()
  const scale = new SoftwareScaleContext()
  try {
    const flags = (SWS_POINT | SWS_ACCURATE_RND) as SwsFlags
    scale.getContext(width, height, source, width, height, to, flags)
    return (await scale.scaleFrame(output, input)) >= 0 ? output : undefined
  } catch {
    return undefined
  } finally {
    input.free()
    scale.freeContext()
  }
}

describe('pixel formats', () => {
  beforeAll(() => Log.setLevel(AV_LOG_QUIET))

  it('gives back the planes that the library packed', async () => {
    let checked = 0
    for (const f of allFormats()) {
      if (f.special !== undefined || f.fullRange || inexact.has(f.name)) continue
      const reference = planarName(f)
      const bits = f.layout.float ? 8 : f.layout.bits
      const bytes = noise(reference, width, height, bits, 5)
      if (f.layout.float) {
        const values = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4)
        for (let i = 0; i < values.length; i++) values[i] = ((i * 37) % 1024) / 1024
      }
      const packed = await repack(reference, avGetPixFmtFromName(f.name as never), bytes)
      if (packed === undefined) continue
      const got = fromAvFrame(packed)
      const expected = referencePlanes(bytes, f)
      for (const [i, plane] of got.planes.entries())
        expect(Array.from(plane.data), `${f.name} ${i}`).toEqual(Array.from(expected[i]))
      packed.free()
      checked++
    }
    expect(checked).toBeGreaterThan(150)
  })

  it('knows only names that the library knows', () => {
    for (const f of allFormats())
      expect(avGetPixFmtFromName(f.name as never), f.name).toBeGreaterThanOrEqual(0)
  })

  it('reads palettes and single bits', () => {
    const palette = Buffer.alloc(6 + 1024)
    palette.set([0, 1, 1, 0, 1, 0])
    palette.set([10, 20, 30, 255, 40, 50, 60, 128], 6) // blue, green, red, alpha
    const p = unpackSamples(palette, formatNamed('pal8'), 3, 2)
    expect(p.planes.map((q) => Array.from(q.data))).toEqual([
      [30, 60, 60, 30, 60, 30],
      [20, 50, 50, 20, 50, 20],
      [10, 40, 40, 10, 40, 10],
      [255, 128, 128, 255, 128, 255],
    ])
    const bits = unpackSamples(Buffer.from([0b10100000, 0b10000000]), formatNamed('monob'), 9, 1)
    expect(Array.from(bits.planes[0].data)).toEqual([255, 0, 255, 0, 0, 0, 0, 0, 255])
    expect(unpackSamples(Buffer.from([0]), formatNamed('monow'), 1, 1).planes[2].data[0]).toBe(255)
  })

  it('shares one array among the planes of grey', () => {
    const g = unpackSamples(Buffer.from([1, 2, 3]), formatNamed('gray'), 3, 1)
    expect(g.planes[1].data).toBe(g.planes[0].data)
    expect(g.planes[2].data).toBe(g.planes[0].data)
  })

  it('widens halves exactly', () => {
    // IEEE 754-2019 binary16: 1, −2, largest 65504, smallest subnormal 2⁻²⁴, largest subnormal, −0, ∞.
    expect([0x3c00, 0xc000, 0x7bff, 1, 0x03ff].map(halfToFloat)).toEqual([
      1,
      -2,
      65504,
      2 ** -24,
      1023 * 2 ** -24,
    ])
    expect(Object.is(halfToFloat(0x8000), -0)).toBe(true)
    expect(halfToFloat(0xfc00)).toBe(Number.NEGATIVE_INFINITY)
    expect(halfToFloat(0x7e00)).toBeNaN()
  })

  it('refuses what our planes cannot hold', () => {
    expect(findFormat('yuv410p')).toBeUndefined()
    expect(() => formatNamed('bayer_rggb8', 'a.mov')).toThrow(/a\.mov.*bayer_rggb8/)
  })
})
