// Real files, where they are; a fresh clone has none and skips.

import { createHash } from 'node:crypto'
import { existsSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { conversion } from '../../colour/index.js'
import type { NativeFrame } from '../../core/index.js'
import { openSource } from './open.js'

const here = dirname(fileURLToPath(import.meta.url))
const footage = process.env.PLATEFIT_FOOTAGE ?? join(here, '../../../../shared/footage')
const there = existsSync(footage)
if (!there) console.log(`footage tests skipped: ${footage} is absent`)

function digest(f: NativeFrame): string {
  const h = createHash('sha1')
  for (const p of f.planes) h.update(Buffer.from(p.data.buffer, p.data.byteOffset, p.data.byteLength))
  return h.digest('hex')
}

async function digests(path: string, first?: number, count?: number): Promise<string[]> {
  const s = await openSource(join(footage, path))
  const out: string[] = []
  for await (const f of s.frames(first, count)) out.push(digest(f))
  await s.close()
  return out
}

describe.skipIf(!there)('real footage', () => {
  it('resolves PQ from the bitstream and conforms the variable rate', async () => {
    const { info } = await openSource(join(footage, 'plates/rooftop-pq.mp4'))
    expect(info.encoding).toMatchObject({
      curve: 'pq',
      primaries: 'bt2020',
      matrix: 'bt2020',
      range: 'limited',
    })
    expect(info.layout).toMatchObject({ bits: 10, subX: 1, subY: 1 })
    // 28 frames over 28 steps of 30 a second plus gaps of 1.55 and 3 steps.
    expect(info.frameCount - info.conform.repeated.length + info.conform.dropped.length).toBe(28)
    expect(info.findings.map((f) => f.code)).toContain('media.variable-rate')
  })

  it('bakes in rotation and leaves out what the edit list cuts', async () => {
    const { info } = await openSource(join(footage, 'plates/rooftop-hlg-rotated.mp4'))
    expect(info).toMatchObject({ rotation: 90, width: 1080, height: 1920, frameCount: 77 })
    expect(info.encoding).toMatchObject({ curve: 'hlg', siting: 'top' })
    expect(info.conform).toEqual({ repeated: [], dropped: [] })
  })

  it('honours full range and the names of SMPTE 170M', async () => {
    const { info } = await openSource(join(footage, 'plates/board-4k60.mp4'))
    expect(info).toMatchObject({ rotation: 90, width: 2160, height: 3840, rate: { num: 60, den: 1 } })
    expect(info.encoding).toMatchObject({ range: 'full', matrix: 'bt601', curve: 'bt709' })
  })

  it('does not call steady timestamps variable', async () => {
    for (const f of ['plates/rooftop-jumps-vfr-360p.mp4', 'plates/carpark-lockedoff.mp4', 'noise/dark.mp4']) {
      const { info } = await openSource(join(footage, f))
      expect(info.conform, f).toEqual({ repeated: [], dropped: [] })
    }
  })

  it('reads frames alone as in the sequence', async () => {
    const path = 'plates/bedroom-handheld-720p.mp4'
    const whole = await digests(path)
    expect(whole.length).toBe(149)
    for (const i of [0, 31, 90, 147]) expect(await digests(path, i, 2)).toEqual(whole.slice(i, i + 2))
    const rotated = await digests('plates/rooftop-hlg-rotated.mp4')
    expect(await digests('plates/rooftop-hlg-rotated.mp4', 70, 3)).toEqual(rotated.slice(70, 73))
  })

  it('reads the OpenEXR pictures or says why not', async () => {
    const exr = (name: string) => openSource(join(footage, 'exr', name))
    expect((await exr('Carrots.exr')).info.encoding.primaries).toBe('aces-ap0')
    expect((await exr('XYZ.exr')).info.encoding.primaries).toBe('xyz')
    const grid = await exr('oiio_grid-overscan.exr')
    expect(grid.info.dataWindow).toEqual({ x: -250, y: -250, width: 1500, height: 1500 })
    const halves = await exr('Test_AllHalfValues.exr')
    for await (const f of halves.frames()) {
      const seen = new Set(
        Array.from(f.planes[0].data, (v) => (Number.isNaN(v) ? 'NaN' : Object.is(v, -0) ? '-0' : v)),
      )
      // 65536 patterns less 2 × 1023 NaN, which become one.
      expect(seen.size).toBe(65536 - 2 * 1023 + 1)
    }
    const window = await exr('DisplayWindow_t08.exr')
    const { dataWindow: d } = window.info
    for await (const f of window.frames()) {
      for (const [x, y] of [
        [0, 0],
        [f.width - 1, f.height - 1],
      ]) {
        const inside = d && x >= d.x && y >= d.y && x < d.x + d.width && y < d.y + d.height
        if (!inside) expect(f.planes[0].data[y * f.width + x]).toBe(0)
      }
    }
  })

  it('rebuilds halved chroma as the OpenEXR library does', async () => {
    const s = await openSource(join(footage, 'exr/Flowers.exr'))
    expect(s.info.findings.map((f) => f.code)).toEqual(['media.exr-chroma-halved'])
    // Means, and pixels by x and y, as OpenEXR 3.1.5 reads the file (`RgbaInputFile`); it rounds each step to a half.
    const means = [0.704505, 0.721351, 1.744209]
    const pixels = [
      [100, 100, 1.764648, 1.693359, 3.673828],
      [392, 367, 0.151123, 0.143677, 0.417236],
      [783, 733, 1.146484, 1.134766, 2.697266],
      [600, 500, 0.748047, 0.723145, 1.782227],
    ] as const
    for await (const f of s.frames()) {
      for (const [c, { data }] of f.planes.entries()) {
        let sum = 0
        for (const v of data) sum += v
        expect(Math.abs(sum / data.length / means[c] - 1)).toBeLessThan(3e-4)
        for (const [x, y, ...rgb] of pixels)
          expect(Math.abs(data[y * f.width + x] / rgb[c] - 1)).toBeLessThan(2e-3)
      }
    }
  })

  it('puts a photo stored in two sets of primaries on one linear picture', async () => {
    const samples = async (name: string) => {
      const s = await openSource(join(footage, 'exr', name))
      for await (const f of s.frames()) return { f, primaries: s.info.encoding.primaries }
      throw new Error('no frame')
    }
    const [a, b] = [await samples('Rec709.exr'), await samples('XYZ.exr')]
    const m = conversion(b.primaries, a.primaries)
    const off: number[] = []
    for (let i = 0; i < a.f.width * a.f.height; i++) {
      const [x, y, z] = b.f.planes.map((p) => p.data[i])
      for (let c = 0; c < 3; c++) {
        const [got, want] = [m[3 * c] * x + m[3 * c + 1] * y + m[3 * c + 2] * z, a.f.planes[c].data[i]]
        off.push(Math.abs(got - want) / Math.max(Math.abs(want), 0.01))
      }
    }
    off.sort((p, q) => p - q)
    // Halves round by up to 2⁻¹¹ = 4.9e-4 of their value, and the matrix' differences enlarge that a few times.
    expect(off[Math.floor(off.length / 2)]).toBeLessThan(5e-4)
    expect(off[Math.floor(off.length * 0.99)]).toBeLessThan(3e-3)
  })

  it('opens elements whose frames waver by a pixel', async () => {
    const s = await openSource(join(footage, 'elements/soot'))
    expect(s.info).toMatchObject({ kind: 'sequence', width: 569, height: 569, frameCount: 25 })
    expect(s.info.layout.alpha).toBe(true)
    let n = 0
    for await (const f of s.frames()) n += f.width === 569 && f.height === 569 ? 1 : 0
    expect(n).toBe(25)
  })
})
