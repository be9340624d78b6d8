import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { dwaa, inIt } from '../../../../../test/media/dwaFile.js'
import type { NativeFrame } from '../../../../core/index.js'
import { halfToFloat } from '../../../half.js'
import { openSource } from '../../open.js'
import { inverseDct, linearTable, toRgb } from './dct.js'
import { decodeHuffman } from './huffman.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-dwa-'))
})
afterAll(() => rm(folder, { recursive: true }))

async function read(bytes: Buffer): Promise<NativeFrame> {
  const path = join(folder, 'x.exr')
  await writeFile(path, bytes)
  for await (const f of (await openSource(path)).frames()) return f
  throw new Error('no frame')
}

describe('DWA', () => {
  it('gives what OpenEXR gives, within three steps of a half', async () => {
    const [got, want] = [await read(dwaa), await read(inIt)]
    expect(got.planes.length).toBe(4)
    for (const [i, p] of got.planes.entries()) {
      for (const [k, v] of p.data.entries()) {
        const w = want.planes[i].data[k]
        // Alpha is kept without loss; colour passes two roundings to half and the power 2.2.
        expect(Math.abs(v - w)).toBeLessThanOrEqual(
          i === 3 ? 0 : 3 * 2 ** -10 * Math.max(Math.abs(w), 2 ** -6),
        )
      }
    }
  })

  it('refuses damaged blocks, and never hangs on them', async () => {
    let refused = 0
    for (let at = dwaa.length - 1; at > 400; at -= 7) {
      const bad = Buffer.from(dwaa)
      bad[at] ^= 0x55
      await read(bad).catch((e) => {
        expect(e).toMatchObject({ exit: 2 })
        refused++
      })
    }
    expect(refused).toBeGreaterThan(20)
  })
})

describe('its arithmetic', () => {
  const halves = (list: Record<number, number>) => Uint16Array.from({ length: 64 }, (_, i) => list[i] ?? 0)

  it('turns single coefficients into cosines', () => {
    const out = new Float32Array(64)
    // 0x4800 is 8: a mean of 8/8 all over.
    inverseDct(halves({ 0: 0x4800 }), 1, out)
    expect(Array.from(out)).toEqual(Array(64).fill(1))
    // Second in zigzag: one across. 1 · cos((2x + 1)π/16)/2 · 1/√8; third: one down. 0x3c00 is 1.
    inverseDct(halves({ 1: 0x3c00 }), 2, out)
    for (const x of [0, 3, 7])
      expect(out[8 * 5 + x]).toBeCloseTo((Math.cos(((2 * x + 1) * Math.PI) / 16) / 2) * Math.sqrt(1 / 8), 7)
    inverseDct(halves({ 2: 0x3c00 }), 3, out)
    for (const y of [0, 3, 7])
      expect(out[8 * y + 5]).toBeCloseTo((Math.cos(((2 * y + 1) * Math.PI) / 16) / 2) * Math.sqrt(1 / 8), 7)
  })

  it('makes white of luma alone (BT.709: no difference, no colour)', () => {
    const [y, b, r] = [[0.5], [0], [0]].map((v) => Float32Array.from(v))
    toRgb(y, b, r)
    expect([y[0], b[0], r[0]]).toEqual([0.5, 0.5, 0.5])
  })

  it('knows the scale: 0.5^2.2 = 0.21764, 1 = 1, 2 = e^2.2 = 9.0250, and its mirror image', () => {
    const of = (half: number) => halfToFloat(linearTable()[half])
    expect(of(0x3800)).toBeCloseTo(0.21764, 3)
    expect(of(0x3c00)).toBe(1)
    expect(of(0x4000) / 9.025).toBeCloseTo(1, 3)
    expect(of(0xc000)).toBe(-of(0x4000))
    expect([of(0), of(0x7c00), of(0x7e00)]).toEqual([0, 0, 0])
  })

  it('reads a Huffman table by hand: lengths 1, 2, 2, the last one repeats', () => {
    // Symbols 5, 6 and 7 (7 repeats). Canonical, long codes first from 0: 6 = 00, 7 = 01, 5 = 1.
    const bits = '000001' + '000010' + '000010'
    const table = Buffer.from([0b00000100, 0b00100000, 0b10000000])
    expect(bits.padEnd(24, '0')).toBe(Array.from(table, (v) => v.toString(2).padStart(8, '0')).join(''))
    // 5, 6, twice 6 again, 5: 1 · 00 · 01 00000010 · 1
    const data = '1' + '00' + '01' + '00000010' + '1'
    const packed = Buffer.from(
      data
        .padEnd(16, '0')
        .match(/.{8}/g)!
        .map((v) => Number.parseInt(v, 2)),
    )
    const head = Buffer.alloc(20)
    for (const [i, v] of [5, 7, 3, data.length, 0].entries()) head.writeUInt32LE(v, 4 * i)
    expect(Array.from(decodeHuffman(Buffer.concat([head, table, packed]), 5))).toEqual([5, 6, 6, 6, 5])
    expect(() => decodeHuffman(Buffer.concat([head, table, packed]), 4)).toThrow(RangeError)
  })
})
