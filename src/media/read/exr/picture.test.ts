import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type ExrDraft, exrFile } from '../../../../test/media/exrFile.js'
import { lumaChroma } from '../../../../test/media/lumaChroma.js'
import { openSource } from '../open.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-stored-'))
})
afterAll(() => rm(folder, { recursive: true }))

async function read(bytes: Buffer, layer?: string) {
  const path = join(folder, 'x.exr')
  await writeFile(path, bytes)
  const s = await openSource(path, layer === undefined ? {} : { layer })
  for await (const f of s.frames())
    return {
      info: s.info,
      codes: s.info.findings.map((x) => x.code),
      planes: f.planes.map((p) => [...p.data]),
    }
  throw new Error('no frame')
}

const [W, H] = [4, 2]
const at = { data: [0, 0, W, H], display: [0, 0, W, H] } as const
/** Exact in halves. */
const own = (k: number) => Float32Array.from({ length: W * H }, (_, i) => k + i / 8)
const lists = (...k: number[]) => k.map((n) => [...own(n)])
const half = { type: 'half' } as const

describe('channels that are not stored alike', () => {
  const rgb = { B: own(1), G: own(2), R: own(3) }

  it('R, G, B as halves and A as floats', async () => {
    const draft = { ...at, channels: { A: own(0.1), ...rgb }, kinds: { B: half, G: half, R: half } }
    const { planes, info, codes } = await read(exrFile(draft))
    expect(planes).toEqual(lists(3, 2, 1, 0.1))
    expect(info.layout).toMatchObject({ float: true, alpha: true })
    expect(info.alphaHint?.kind).toBe('premultiplied')
    expect(codes).toEqual([])
  })

  it('each of another type, data window off the display window', async () => {
    const draft: ExrDraft = {
      channels: { A: own(4), ...rgb },
      kinds: { A: half, G: half },
      data: [-1, 3, W, H],
      display: [0, 3, W - 1, H],
    }
    const cropped = lists(3, 2, 1, 4).map((v) => v.filter((_, i) => i % W !== 0))
    expect((await read(exrFile(draft))).planes).toEqual(cropped)
  })

  it('a depth for 2×2 pixels beside R, G, B is passed over; asked for itself, it is refused', async () => {
    const draft = {
      ...at,
      channels: { ...rgb, Z: Float32Array.from([7, 8]) },
      kinds: { B: half, G: half, R: half, Z: { step: 2 } },
    }
    const { planes, codes } = await read(exrFile(draft))
    expect(planes).toEqual(lists(3, 2, 1))
    expect(codes).toEqual(['media.exr-channels-unused'])
    expect((await read(exrFile(draft))).info.exr?.layers).toEqual(['main', 'B', 'G', 'R'])
    expect((await read(exrFile(draft), 'G')).planes).toEqual(lists(2, 2, 2))
    const refused = read(exrFile(draft), 'Z')
    await expect(refused).rejects.toMatchObject({ code: 'media.exr-subsampled', exit: 2 })
    await expect(refused).rejects.toThrow(/Z \(1 in 2×2\)/)
    await expect(read(exrFile(draft).subarray(0, -3))).rejects.toMatchObject({ code: 'media.damaged-frame' })
    const odd = { ...draft, data: [1, 0, W, H] as const }
    await expect(read(exrFile(odd))).rejects.toMatchObject({ code: 'media.damaged-frame' })
  })
})

describe('luminance and chroma', () => {
  const colours = [
    [0.5, 0.25, 0.125],
    [4, 1, 0.5],
    [0.1, 0.9, 0.3],
    [1, 1, 1],
  ] as const

  /** Y, RY = (R − Y)/Y and BY = (B − Y)/Y after "Technical introduction to OpenEXR". */
  function stored(
    [wr, wg, wb]: readonly [number, number, number],
    chromaticities?: readonly number[],
  ): Buffer {
    const y = colours.map(([r, g, b]) => wr * r + wg * g + wb * b)
    const chroma = (c: 0 | 2) => Float32Array.from(colours, (rgb, i) => (rgb[c] - y[i]) / y[i])
    return exrFile({
      channels: { BY: chroma(2), RY: chroma(0), Y: Float32Array.from(y) },
      data: [0, 0, 2, 2],
      display: [0, 0, 2, 2],
      ...(chromaticities === undefined ? {} : { chromaticities }),
    })
  }

  it.each([
    // Second rows of the matrices to XYZ: SMPTE RP 177 for BT.709; ST 2065-1 for AP0, as printed.
    ['BT.709, where the file does not say', [0.2126390059, 0.7151686788, 0.0721923154], undefined],
    [
      'AP0',
      [0.3439664498, 0.7281660966, -0.0721325464],
      [0.7347, 0.2653, 0, 1, 0.0001, -0.077, 0.32168, 0.33767],
    ],
  ] as const)('at full size: %s', async (_, weights, chromaticities) => {
    const { planes, codes } = await read(stored(weights, chromaticities))
    for (const [c, plane] of planes.entries())
      for (const [i, v] of plane.entries()) expect(Math.abs(v - colours[i][c])).toBeLessThan(2e-5)
    expect(codes).toEqual([])
  })

  it('keeps what has no colour, to the bit', async () => {
    const zero = new Float32Array(W * H)
    const { planes } = await read(exrFile({ ...at, channels: { BY: zero, RY: zero, Y: own(0.7) } }))
    expect(planes).toEqual(lists(0.7, 0.7, 0.7))
  })

  // The library rounds each of its steps to a half (2⁻¹¹ of the value), the lossy DWA its result once more.
  it.each(lumaChroma)(
    'halved, by the OpenEXR library: $compression',
    async ({ compression, file, halves }) => {
      const { planes, info, codes } = await read(Buffer.from(file, 'base64'))
      expect(info).toMatchObject({ width: 18, height: 10 })
      expect(codes).toEqual(['media.exr-chroma-halved'])
      const bytes = Buffer.from(halves, 'base64')
      const words = Array.from({ length: bytes.length / 2 }, (_, i) => fromHalf(bytes.readUInt16LE(2 * i)))
      const limit = compression.startsWith('dwa') ? 5e-3 : 1.5e-3
      for (let i = 0; i < 180; i++) {
        const want = words.slice(4 * i, 4 * i + 4)
        const most = Math.max(...want.slice(0, 3))
        for (let c = 0; c < 3; c++) expect(Math.abs(planes[c][i] - want[c]) / most).toBeLessThan(limit)
        expect(planes[3][i]).toBe(want[3])
      }
    },
  )
})

/** IEEE 754 binary16, finite. */
function fromHalf(bits: number): number {
  const exponent = (bits >> 10) & 31
  const magnitude =
    exponent === 0 ? (bits & 1023) * 2 ** -24 : (1 + (bits & 1023) / 1024) * 2 ** (exponent - 15)
  return bits & 0x8000 ? -magnitude : magnitude
}
