import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Kind, picture } from '../../../test/media/pictures.js'
import { cut, planeOf, psnr, readBack } from '../../../test/media/readBack.js'
import type { ColourEncoding } from '../../core/index.js'
import {
  createWriter,
  type DeliveryFormat,
  type DeliverySpec,
  deliveryEncoding,
  deliveryFindings,
  deliveryLayout,
} from '../index.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-movie-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const rec709: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
}
const movies = ['prores-422-hq', 'prores-4444', 'dnxhr-hqx', 'h264-preview'] as const
const kinds: readonly Kind[] = ['ramp', 'card', 'noise']

function specOf(format: DeliveryFormat, more: Partial<DeliverySpec> = {}, plate = rec709): DeliverySpec {
  const encoding = deliveryEncoding(format, plate)
  return { format, width: 320, height: 180, rate: { num: 24000, den: 1001 }, encoding, ...more }
}

async function write(name: string, spec: DeliverySpec, list: readonly Kind[]) {
  const path = join(folder, name)
  const writer = await createWriter(path, spec)
  const frames = list.map((kind, i) => picture(writer.layout, spec.width, spec.height, kind, i + 1))
  for (const frame of frames) await writer.write(frame)
  await writer.finish()
  return { path, frames, findings: writer.findings.map((f) => f.code) }
}

/**
 * Largest error of a flat patch's middle, in 1/65535: what quantisation leaves. 10 bits: one and a half code values.
 * H.264 at quantiser 16 has steps of 4 (H.264 clause 8.5, doubling every 6 from 0.625 at 0): half a step is 2 codes.
 */
const patchLimit = { 'prores-422-hq': 96, 'prores-4444': 96, 'dnxhr-hqx': 96, 'h264-preview': 512 }
/**
 * DNxHR HQX has a fixed budget: 917504 bytes at 1080p [smpte-st2019-1], 1.77 bits a sample. White noise of σ 59 coded so is
 * at best 35.4 dB from itself (rate-distortion bound, D = σ² 2^−2R): within 6 dB of that.
 */
const noiseFloor = { 'prores-422-hq': 30, 'prores-4444': 40, 'dnxhr-hqx': 29.4, 'h264-preview': 30 }
/** Peak signal to noise of ramp and card, dB: what passes for visually lossless, common practice. */
const floor = { 'prores-422-hq': 40, 'prores-4444': 46, 'dnxhr-hqx': 40, 'h264-preview': 35 }

describe.each(movies)('%s', (format) => {
  const extension = format === 'h264-preview' ? 'mp4' : 'mov'

  it('gives back ramp, card and noise within its quantisation, every frame at its place', async () => {
    const { path, frames, findings } = await write(`trip-${format}.${extension}`, specOf(format), kinds)
    const back = await readBack(path)
    expect(findings).toEqual([])
    expect(back.frames.length).toBe(3)
    expect(back.video.rate).toBe('24000/1001')
    const bits = format === 'h264-preview' ? 8 : 10
    for (const [i, frame] of back.frames.entries()) {
      expect([frame.width, frame.height]).toEqual([320, 180])
      // ProRes 4444 decodes to 12 bits whatever its input was.
      const extra = frame.format.includes('p12') ? 4 : 1
      for (const [c, plane] of (frames[i]?.planes ?? []).entries()) {
        const got = Float64Array.from(planeOf(frame, c), (v) => v / extra)
        expect(psnr(got, plane.data, bits), `${kinds[i]} plane ${c}`).toBeGreaterThan(
          (kinds[i] === 'noise' ? noiseFloor : floor)[format],
        )
      }
    }
  })

  it('keeps flat patches to its quantisation', async () => {
    const { path, frames } = await write(`flat-${format}.${extension}`, specOf(format), ['card'])
    const frame = (await readBack(path)).frames[0]!
    const scale = 65535 / 2 ** (format === 'h264-preview' ? 8 : frame.format.includes('p12') ? 12 : 10)
    const inScale = 65535 / 2 ** (format === 'h264-preview' ? 8 : 10)
    const [got, given] = [planeOf(frame, 0), frames[0]!.planes[0]!.data]
    let worst = 0
    for (let row = 0; row < 8; row++) {
      for (let column = 0; column < 16; column++) {
        const at = Math.floor((row + 0.5) * 22.5) * 320 + column * 20 + 10
        worst = Math.max(worst, Math.abs(got[at] * scale - given[at] * inScale))
      }
    }
    expect(worst).toBeLessThanOrEqual(patchLimit[format])
  })

  it('writes the same bytes twice', async () => {
    const [a, b] = [1, 2].map((n) => write(`twice-${n}-${format}.${extension}`, specOf(format), kinds))
    expect((await readFile((await a!).path)).equals(await readFile((await b!).path))).toBe(true)
  })

  const drop = { num: 30000, den: 1001 }
  it.each([
    ['24000/1001', undefined, '01:00:10:23'],
    ['30000/1001', drop, '00:59:59;28'],
  ])('keeps timecode at %s and pixel aspect', async (_, rate, timecode) => {
    const more = { timecode, pixelAspect: { num: 4, den: 3 }, ...(rate ? { rate } : {}) }
    const { path } = await write(`tc-${format}.${extension}`, specOf(format, more), ['ramp'])
    const back = await readBack(path, false)
    expect(back.streams.map((s) => s.metadata.timecode)).toContain(timecode)
    expect(back.video.aspect).toBe('4/3')
  })

  /** Code points: ITU-T H.273 tables 2 to 4. */
  const cases: readonly (readonly [string, Partial<ColourEncoding>, readonly [number, number, number]])[] = [
    ['bt709', {}, [1, 1, 1]],
    ['bt601', { matrix: 'bt601', primaries: 'bt601-525' }, [6, 1, 6]],
    ['bt2020 pq', { matrix: 'bt2020', primaries: 'bt2020', curve: 'pq' }, [9, 16, 9]],
    ['bt2020 hlg', { matrix: 'bt2020', primaries: 'bt2020', curve: 'hlg' }, [9, 18, 9]],
    ['srgb', { curve: 'srgb' }, [1, 13, 1]],
    ['linear, which gets a curve', { curve: 'linear' }, [1, 1, 1]],
  ]
  it.each(cases)('carries the tags of %s', async (_, plate, [primaries, curve, matrix]) => {
    const { path } = await write(`tags.${extension}`, specOf(format, {}, { ...rec709, ...plate }), ['ramp'])
    const { video, frames } = await readBack(path)
    expect(video.tags).toMatchObject({ primaries, curve, matrix, range: 1 })
    const own = frames[0]!.tags
    // A picture's own header may lack a code (0 reserved, 2 unspecified), but must not say another.
    expect([primaries, 0, 2]).toContain(own.primaries)
    expect([curve, 0, 2]).toContain(own.curve)
    expect([matrix, 2]).toContain(own.matrix)
    expect(own.range).not.toBe(2)
  })

  it('pads odd sizes by their last column and row, marks them to be cut off, and says so', async () => {
    const size = format === 'dnxhr-hqx' ? { width: 321, height: 181 } : { width: 65, height: 37 }
    const { path, frames, findings } = await write(`odd.${extension}`, specOf(format, size), ['ramp', 'card'])
    expect(findings).toEqual(['media.padded'])
    const back = await readBack(path)
    const row = format === 'h264-preview' ? 1 : 0
    expect(back.video.crop).toEqual([0, row, 0, 1])
    const bits = format === 'h264-preview' ? 8 : 10
    for (const [i, frame] of back.frames.entries()) {
      expect([frame.width, frame.height]).toEqual([size.width + 1, size.height + row])
      const extra = frame.format.includes('p12') ? 4 : 1
      for (const [c, plane] of frames[i]!.planes.entries()) {
        const stride = plane.width + (plane.width === size.width ? 1 : 0)
        const all = Float64Array.from(planeOf(frame, c), (v) => v / extra)
        const got = cut(all, stride, plane.width, plane.height)
        expect(psnr(got, plane.data, bits), `frame ${i} plane ${c}`).toBeGreaterThan(floor[format] - 8)
        // The last column, which encoders are known to spoil, by itself.
        const last = (from: ArrayLike<number>) =>
          Array.from({ length: plane.height }, (_, y) => from[y * plane.width + plane.width - 1]!)
        expect(psnr(last(got), last(plane.data), bits), `last column, plane ${c}`).toBeGreaterThan(28)
      }
    }
  })
})

it('tags the siting of 4:2:0 in H.264', async () => {
  for (const [siting, code] of [
    ['left', 1],
    ['centre', 2],
    ['top-left', 3],
  ] as const) {
    const { path } = await write('siting.mp4', specOf('h264-preview', {}, { ...rec709, siting }), ['ramp'])
    expect((await readBack(path)).frames[0]!.tags.siting).toBe(code)
  }
})

it('keeps 4444 alpha to the limit of its coding', async () => {
  const { path, frames } = await write('alpha.mov', specOf('prores-4444'), ['card', 'noise'])
  const back = await readBack(path)
  for (const [i, frame] of back.frames.entries()) {
    expect(frame.format).toBe('yuva444p12le')
    const alpha = planeOf(frame, 3)
    const given = frames[i]!.planes[3]!.data
    // Alpha is coded without loss; 10 bits widen to 16 and come back as 12.
    for (let at = 0; at < given.length; at++)
      expect(Math.abs(alpha[at]! / 4095 - given[at]! / 1023)).toBeLessThan(91 / 65535)
  }
})

it('puts the index of H.264 before the pictures and groups in closed segments of 48', async () => {
  const list = Array.from({ length: 100 }, (_, i) => kinds[i % 3]!)
  const { path } = await write('groups.mp4', specOf('h264-preview', { width: 64, height: 48 }), list)
  const bytes = await readFile(path)
  expect(bytes.indexOf('moov')).toBeLessThan(bytes.indexOf('mdat'))
  expect(bytes.includes('x264')).toBe(false)
  const { video, frames } = await readBack(path)
  expect(frames.length).toBe(100)
  for (const at of [0, 48, 96]) expect(video.packets[at]!.key).toBe(true)
  expect(video.packets.every((p) => p.pts === p.dts)).toBe(true)
})

it('has a layout for every format', () => {
  expect(deliveryLayout('exr-half', { alpha: true }).alpha).toBe(true)
  expect(deliveryLayout('prores-422-hq', { alpha: true }).alpha).toBe(false)
  const rgb: ColourEncoding = { ...rec709, matrix: 'rgb', range: 'full', primaries: 'bt2020', curve: 'pq' }
  expect(deliveryEncoding('prores-422-hq', rgb)).toMatchObject({
    matrix: 'bt2020',
    range: 'limited',
    curve: 'pq',
  })
  expect(deliveryEncoding('exr-half', rgb)).toMatchObject({ matrix: 'rgb', range: 'full', curve: 'linear' })
})

it('codes a linear plate with a curve in whole numbers, and says so', () => {
  const linear: ColourEncoding = { ...rec709, matrix: 'rgb', range: 'full', curve: 'linear' }
  const said = (format: DeliveryFormat, plate: ColourEncoding) =>
    deliveryFindings(format, plate, 'out').map((f) => f.code)
  for (const format of movies) {
    expect(deliveryEncoding(format, linear).curve).toBe('bt709')
    expect(said(format, linear)).toEqual(['media.curve-chosen'])
    expect(said(format, rec709)).toEqual([])
  }
  expect(deliveryEncoding('png-16', linear).curve).toBe('srgb')
  expect(said('png-16', linear)).toEqual(['media.curve-chosen'])
  expect(deliveryEncoding('exr-half', linear).curve).toBe('linear')
  expect(said('exr-half', linear)).toEqual([])
})
