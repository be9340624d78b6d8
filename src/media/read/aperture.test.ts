/** Odd sizes through every movie format, against a reader that shares no code with ours; and the cut itself by hand. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeMovie, noise } from '../../../test/media/fixture.js'
import { picture } from '../../../test/media/pictures.js'
import { cut, planeOf, psnr, readBack } from '../../../test/media/readBack.js'
import { allocateFrame, type NativeFrame, type PixelLayout } from '../../core/index.js'
import { createWriter, deliveryEncoding, openSource } from '../index.js'
import { cropFor, cropFrame } from './aperture.js'
import type { Look } from './look.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-aperture-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const rec709 = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
} as const
const yuv = (subX: 0 | 1 | 2, subY: 0 | 1): PixelLayout => ({
  family: 'yuv',
  bits: 8,
  float: false,
  subX,
  subY,
  alpha: false,
})

/** Peak signal to noise of a ramp, dB, that passes for visually lossless (common practice). */
const floor = { 'prores-422-hq': 40, 'prores-4444': 46, 'dnxhr-hqx': 40, 'h264-preview': 35 } as const

describe.each(Object.keys(floor) as (keyof typeof floor)[])('%s', (format) => {
  // DNxHR holds nothing smaller than 256 × 120.
  const [w, h] = format === 'dnxhr-hqx' ? [256, 120] : [64, 36]
  it.each([
    [w + 1, h + 1],
    [w, h],
    [w + 1, h],
    [w, h + 1],
  ])('opens %i×%i as it was written', async (width, height) => {
    const path = join(folder, `${format}-${width}-${height}.${format === 'h264-preview' ? 'mp4' : 'mov'}`)
    const encoding = deliveryEncoding(format, rec709)
    const writer = await createWriter(path, { format, width, height, rate: { num: 25, den: 1 }, encoding })
    const given = [1, 2].map((seed) => picture(writer.layout, width, height, 'ramp', seed))
    for (const frame of given) await writer.write(frame)
    await writer.finish()

    const source = await openSource(path)
    const { info } = source
    expect([info.width, info.height, info.findings.map((f) => f.code)]).toEqual([width, height, []])
    const stored = (await readBack(path)).frames
    let i = 0
    for await (const frame of source.frames()) {
      expect([frame.width, frame.height]).toEqual([width, height])
      const { subX, subY } = frame.layout
      for (const [c, plane] of frame.planes.entries()) {
        const chroma = c === 1 || c === 2
        const size = chroma ? [Math.ceil(width / 2 ** subX), Math.ceil(height / 2 ** subY)] : [width, height]
        expect([plane.width, plane.height]).toEqual(size)
        const all = stored[i]!
        const stride = chroma ? Math.ceil(all.width / 2 ** subX) : all.width
        const expected = cut(planeOf(all, c), stride, size[0]!, size[1]!)
        expect(Array.from(plane.data)).toEqual(expected)
        const own = given[i]!.planes[c]!.data
        const finer = 2 ** (frame.layout.bits - writer.layout.bits)
        const same = Float64Array.from(plane.data, (v) => v / finer)
        expect(psnr(same, own, writer.layout.bits)).toBeGreaterThan(floor[format])
      }
      i++
    }
    expect(i).toBe(2)
    await source.close()
  })
})

describe('a margin marked in a file', () => {
  const frames = [noise('yuv420p', 64, 32, 8, 5)]
  const options = { qp: 0, preset: 'ultrafast' }
  const movie = { encoder: 'libx264', format: 'yuv420p', width: 64, height: 32, frames, options } as const
  const luma = (x: number, y: number) => frames[0]![64 * y + x]
  const blue = (x: number, y: number) => frames[0]![64 * 32 + 32 * y + x]

  it.each([
    ['mov', undefined],
    ['mp4', [-1, 0, 0, 0, -1, 0, 0, 0, 1]],
  ] as const)('is cut before the picture is turned, %s', async (ending, matrix) => {
    const path = join(folder, `margin.${ending}`)
    await makeMovie(path, { ...movie, crop: [2, 4, 6, 8], ...(matrix ? { matrix } : {}) })
    const source = await openSource(path)
    expect(source.info).toMatchObject({ width: 50, height: 26, rotation: matrix ? 180 : 0 })
    expect(source.info.findings.map((f) => f.code)).toEqual(['media.aperture'])
    const { value: frame } = await source.frames().next()
    const [y, cb] = frame!.planes
    const corners = [y!.data[0], y!.data[50 * 26 - 1], cb!.data[0], cb!.data[25 * 13 - 1]]
    const stored = [luma(6, 2), luma(55, 27), blue(3, 1), blue(27, 13)]
    expect(corners).toEqual(matrix ? [1, 0, 3, 2].map((i) => stored[i]) : stored)
    await source.close()
  })
})

/** Every sample says where it lies: 16 · row + column. */
function numbered(layout: PixelLayout, width: number, height: number): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  for (const p of frame.planes)
    for (let i = 0; i < p.data.length; i++) p.data[i] = 16 * Math.floor(i / p.width) + (i % p.width)
  return frame
}

describe('the cut', () => {
  it('moves chroma by whole steps and rounds odd sizes up', () => {
    const got = cropFrame(numbered(yuv(1, 1), 10, 8), { top: 2, bottom: 1, left: 4, right: 1 })
    expect([got.width, got.height]).toEqual([5, 5])
    const corners = got.planes.map((p) => [p.width, p.height, p.data[0], p.data[p.data.length - 1]])
    expect(corners).toEqual([
      [5, 5, 0x24, 0x68],
      [3, 3, 0x12, 0x34],
      [3, 3, 0x12, 0x34],
    ])
  })

  const look = (layout: PixelLayout) => ({ width: 16, height: 8, format: { layout } }) as Look
  const mark = (top: number, left: number, right = 0, width = 16) => ({
    crop: { top, bottom: 0, left, right },
    width,
    height: 8,
  })
  const codes = (...[aperture, first]: [ReturnType<typeof mark>, Look]) => {
    const { crop, findings } = cropFor(aperture, first, 'a.mov')
    return [crop.left, crop.top, ...findings.map((f) => f.code)]
  }

  it('is refused where it would split a chroma sample or leave nothing, and says so', () => {
    expect(codes(mark(1, 0), look(yuv(1, 1)))).toEqual([0, 0, 'media.aperture-ignored'])
    expect(codes(mark(0, 2), look(yuv(2, 0)))).toEqual([0, 0, 'media.aperture-ignored'])
    expect(codes(mark(0, 8, 8), look(yuv(0, 0)))).toEqual([0, 0, 'media.aperture-ignored'])
  })

  it('of a margin is made and said; what the decoder has cut is not cut again', () => {
    expect(codes(mark(1, 2, 2), look(yuv(1, 0)))).toEqual([2, 1, 'media.aperture'])
    expect(codes(mark(0, 0, 1), look(yuv(1, 0)))).toEqual([0, 0])
    expect(codes(mark(1, 2, 2, 20), look(yuv(1, 0)))).toEqual([0, 0])
  })
})
