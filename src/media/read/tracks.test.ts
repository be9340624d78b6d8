/** Alpha of movies, several tracks, cover art and mirrored clips, each against something that shares no code with us. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import {
  AV_DISPOSITION_ATTACHED_PIC,
  AV_DISPOSITION_DEFAULT,
  AV_PKT_DATA_MATROSKA_BLOCKADDITIONAL,
} from 'node-av/constants'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeMovie, makePicture, noise } from '../../../test/media/fixture.js'
import { floatTiff } from '../../../test/media/floatTiff.js'
import { picture } from '../../../test/media/pictures.js'
import { decodeVp9, joinTracks, sideData } from '../../../test/media/tracks.js'
import type { NativeFrame } from '../../core/index.js'
import { createWriter, deliveryEncoding, openSource } from '../index.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-tracks-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function framesOf(path: string): Promise<NativeFrame[]> {
  const source = await openSource(path)
  const out: NativeFrame[] = []
  for await (const frame of source.frames()) out.push(frame)
  await source.close()
  return out
}

describe('alpha', () => {
  it('of ProRes 4444 comes back within one code of ten bits, edges and ends included', async () => {
    const path = join(folder, 'alpha.mov')
    const [width, height] = [48, 24]
    const rec709 = {
      range: 'limited',
      matrix: 'bt709',
      curve: 'bt709',
      primaries: 'bt709',
      siting: 'left',
    } as const
    const encoding = deliveryEncoding('prores-4444', rec709)
    const writer = await createWriter(path, {
      format: 'prores-4444',
      width,
      height,
      rate: { num: 24, den: 1 },
      encoding,
    })
    const given = (['ramp', 'noise', 'card'] as const).map((kind, i) =>
      picture(writer.layout, width, height, kind, i),
    )
    for (const frame of given) {
      // Nothing, all, and a hard edge between them.
      frame.planes[3]!.data.fill(0, 0, 100).fill(1023, 100, 300)
      await writer.write(frame)
    }
    await writer.finish()
    const back = await framesOf(path)
    expect(back.length).toBe(3)
    for (const [i, frame] of back.entries()) {
      const top = 2 ** frame.layout.bits - 1
      const alpha = frame.planes[3]!.data
      for (let k = 0; k < alpha.length; k++) {
        const off = Math.abs(alpha[k]! / top - given[i]!.planes[3]!.data[k]! / 1023)
        expect(off).toBeLessThanOrEqual(1 / 1023)
      }
      expect([alpha[0], alpha[200]]).toEqual([0, top])
    }
  })

  it('of VP9 is the second picture that each packet carries', async () => {
    const path = join(folder, 'alpha.webm')
    const [width, height] = [64, 32]
    const frames = [1, 2, 3].map((seed) => {
      const bytes = noise('yuva420p', width, height, 8, seed)
      // A ramp in alpha, so that a plane taken for another shows.
      for (let i = 0; i < width * height; i++) bytes[width * height * 1.5 + i] = 4 * (i % width)
      return bytes
    })
    await makeMovie(path, {
      encoder: 'libvpx-vp9',
      format: 'yuva420p',
      width,
      height,
      frames,
      options: { crf: 20, b: 0, 'auto-alt-ref': 0 },
      metadata: { alpha_mode: '1' },
    })
    // Matroska: BlockAdditional 1 holds the alpha as a VP9 frame of its own, behind its 8-byte number.
    const side = await sideData(path, AV_PKT_DATA_MATROSKA_BLOCKADDITIONAL)
    const apart = await decodeVp9(side.map((b) => b.subarray(8)))
    const back = await framesOf(path)
    expect(back.length).toBe(3)
    expect(apart.length).toBe(3)
    for (const [i, frame] of back.entries()) {
      const alpha = Array.from(frame.planes[3]!.data)
      expect(alpha).toEqual(Array.from(apart[i]!.subarray(0, width * height)))
      const off = alpha.reduce((sum, v, k) => sum + Math.abs(v - 4 * (k % width)), 0) / alpha.length
      expect(off).toBeLessThan(4)
    }
  })
})

describe('several tracks', () => {
  const movie = (size: number, seed: number) => ({
    encoder: 'libx264',
    format: 'yuv420p',
    width: size,
    height: 32,
    frames: [0, 1, 2].map((i) => noise('yuv420p', size, 32, 8, seed + i)),
    options: { qp: 0, preset: 'ultrafast' },
  })
  const luma = (m: { frames: Buffer[]; width: number }) =>
    m.frames.map((f) => Array.from(f.subarray(0, m.width * 32)))

  it('cover art is no picture track, wherever it lies, and no news', async () => {
    const m = movie(32, 1)
    const [film, cover] = [join(folder, 'film.mp4'), join(folder, 'cover.png')]
    await makeMovie(film, m)
    await makePicture(cover, 'png', 'rgb24', 300, 300, noise('rgb24', 300, 300, 8, 9))
    for (const [name, order] of [
      ['first.mp4', [cover, film]],
      ['last.mp4', [film, cover]],
    ] as const) {
      const path = join(folder, name)
      const parts = order.map((p) => ({
        path: p,
        disposition: p === cover ? AV_DISPOSITION_ATTACHED_PIC : AV_DISPOSITION_DEFAULT,
      }))
      await joinTracks(path, parts)
      const { info } = await openSource(path)
      expect(info).toMatchObject({ width: 32, height: 32, frameCount: 3 })
      expect(info.findings.map((f) => f.code)).toEqual([])
      expect((await framesOf(path)).map((f) => Array.from(f.planes[0]!.data))).toEqual(luma(m))
    }
  })

  it('the main one of several is used, and that is said', async () => {
    const [small, large] = [movie(32, 1), movie(64, 11)]
    const paths = [join(folder, 'small.mp4'), join(folder, 'large.mp4')]
    await makeMovie(paths[0]!, small)
    await makeMovie(paths[1]!, large)
    for (const main of [0, 1]) {
      const path = join(folder, `several-${main}.mov`)
      await joinTracks(
        path,
        paths.map((p, i) => ({ path: p, disposition: i === main ? AV_DISPOSITION_DEFAULT : 0 })),
      )
      const { info } = await openSource(path)
      expect(info.findings.map((f) => f.code)).toEqual(['media.several-videos'])
      const m = main === 0 ? small : large
      expect((await framesOf(path)).map((f) => Array.from(f.planes[0]!.data))).toEqual(luma(m))
    }
  })
})

describe('mirrored clips', () => {
  // Display matrices: [iso14496-12 §6.2.2]; (p, q) goes to (a·p + c·q, b·p + d·q), moved back into the picture.
  it.each([
    ['left to right', [-1, 0, 0, 0, 1, 0, 0, 0, 1], 0, 'right', (p: number, q: number) => [31 - p, q]],
    ['top to bottom', [1, 0, 0, 0, -1, 0, 0, 0, 1], 180, 'left', (p: number, q: number) => [p, 15 - q]],
    ['along the diagonal', [0, 1, 0, 1, 0, 0, 0, 0, 1], 90, 'top', (p: number, q: number) => [q, p]],
  ] as const)('%s: done, and said', async (name, matrix, rotation, siting, to) => {
    const path = join(folder, `${name}.mp4`)
    const bytes = noise('yuv420p', 32, 16, 8, 4)
    const options = { qp: 0, preset: 'ultrafast' }
    await makeMovie(path, {
      encoder: 'libx264',
      format: 'yuv420p',
      width: 32,
      height: 16,
      frames: [bytes],
      options,
      matrix,
    })
    const { info } = await openSource(path)
    expect(info).toMatchObject({ rotation, encoding: { siting } })
    expect(info.findings.map((f) => f.code)).toEqual(['media.mirrored'])
    const [frame] = await framesOf(path)
    const got = frame!.planes[0]!
    for (let q = 0; q < 16; q++) {
      for (let p = 0; p < 32; p++) {
        const [x, y] = to(p, q)
        expect(got.data[y! * got.width + x!]).toBe(bytes[q * 32 + p])
      }
    }
  })
})

describe('sequences of every kind', () => {
  it.each([
    ['tif', 'tiff', 'rgb48le', 16],
    ['dpx', 'dpx', 'gbrp10le', 10],
    ['png', 'png', 'rgb48be', 16],
  ] as const)(
    '%s of %s by %s: exact, in order, at the rate that was given',
    async (ending, encoder, format, bits) => {
      const frames = [1, 2, 3].map((seed) => noise(format, 16, 8, bits, seed))
      for (const [i, bytes] of frames.entries()) {
        await makePicture(join(folder, `${format}.${100 + i}.${ending}`), encoder, format, 16, 8, bytes)
      }
      const path = join(folder, `${format}.###.${ending}`)
      const source = await openSource(path, { rate: { num: 30000, den: 1001 } })
      expect(source.info).toMatchObject({
        kind: 'sequence',
        frameCount: 3,
        firstNumber: 100,
        rate: { num: 30000, den: 1001 },
        rateEvidence: { kind: 'set' },
      })
      expect(source.info.durationSeconds).toBeCloseTo((3 * 1001) / 30000, 12)
      expect(source.info.layout).toMatchObject({ family: 'rgb', bits, float: false })
      const back = await framesOf(path)
      for (const [i, bytes] of frames.entries()) {
        const word = (k: number) =>
          format === 'rgb48be' ? bytes.readUInt16BE(2 * k) : bytes.readUInt16LE(2 * k)
        // Planar in the order G, B, R; packed as R, G, B.
        const sample = (c: number, k: number) =>
          format === 'gbrp10le' ? word([2, 0, 1][c]! * 128 + k) : word(3 * k + c)
        for (const [c, plane] of back[i]!.planes.entries())
          expect(Array.from(plane.data)).toEqual(Array.from({ length: 128 }, (_, k) => sample(c, k)))
      }
    },
  )

  it('float TIFF: linear light, values above one and below zero kept', async () => {
    for (const i of [0, 1]) {
      const values = Float32Array.from({ length: 16 * 8 * 3 }, (_, k) => (k - 100) / 7 + i)
      const bytes = Buffer.from(values.buffer)
      await writeFile(join(folder, `float.${i}.tif`), floatTiff(16, 8, bytes))
    }
    const back = await framesOf(join(folder, 'float.#.tif'))
    expect(back.length).toBe(2)
    for (const [i, frame] of back.entries()) {
      expect(frame.layout).toMatchObject({ float: true, bits: 32 })
      for (const [c, plane] of frame.planes.entries())
        expect(plane.data[5]).toBe(Math.fround((3 * 5 + c - 100) / 7 + i))
    }
  })
})
