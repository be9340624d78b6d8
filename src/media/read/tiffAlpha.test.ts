/** Files laid out by hand from the TIFF 6.0 specification [tiff6]: header and directory in section 2, ExtraSamples in section 18. */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openSource } from './open.js'
import { tiffAlpha } from './tiffAlpha.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-tiff-'))
})
afterAll(() => rm(folder, { recursive: true }))

const WIDTH = 2

/** One row of RGBA, 8 bits, in either byte order; `extra` are the values of tag 338, absent when there are none. */
function rgbaTiff(order: 'II' | 'MM', extra: readonly number[], type = 3): Buffer {
  const big = order === 'MM'
  const short = (v: number) => (big ? [v >> 8, v & 255] : [v & 255, v >> 8])
  const long = (v: number) =>
    big ? [...short(v >> 16), ...short(v & 65535)] : [...short(v & 65535), ...short(v >> 16)]
  const entries = extra.length === 0 ? 9 : 10
  const bits = 8 + 2 + 12 * entries + 4
  const extraAt = bits + 8
  const strip = extraAt + 2 * extra.length
  const inEntry = (values: readonly number[]) => [...values.flatMap(short), 0, 0, 0, 0].slice(0, 4)
  const entry = (tag: number, kind: number, count: number, value: readonly number[]) => [
    ...short(tag),
    ...short(kind),
    ...long(count),
    ...value,
  ]
  const bytes = [
    ...Buffer.from(order, 'latin1'),
    ...short(42),
    ...long(8),
    ...short(entries),
    ...entry(256, 3, 1, inEntry([WIDTH])),
    ...entry(257, 3, 1, inEntry([1])),
    ...entry(258, 3, 4, long(bits)),
    ...entry(259, 3, 1, inEntry([1])),
    ...entry(262, 3, 1, inEntry([2])),
    ...entry(273, 4, 1, long(strip)),
    ...entry(277, 3, 1, inEntry([4])),
    ...entry(278, 3, 1, inEntry([1])),
    ...entry(279, 4, 1, long(4 * WIDTH)),
    ...(extra.length === 0
      ? []
      : entry(338, type, extra.length, extra.length <= 2 ? inEntry(extra) : long(extraAt))),
    ...long(0),
    ...[8, 8, 8, 8].flatMap(short),
    ...extra.flatMap(short),
    ...Array.from({ length: 4 * WIDTH }, (_, i) => 10 * i),
  ]
  return Buffer.from(bytes)
}

async function hintOf(name: string, bytes: Buffer) {
  const path = join(folder, name)
  await writeFile(path, bytes)
  const s = await openSource(path)
  await s.close()
  expect(s.info.layout.alpha).toBe(true)
  return s.info.alphaHint
}

describe.each(['II', 'MM'] as const)('alpha of a TIFF, %s', (order) => {
  it('is premultiplied where it is associated, straight where it is not', async () => {
    const why = 'ExtraSamples tag'
    expect(await hintOf(`${order}1.tif`, rgbaTiff(order, [1]))).toEqual({
      kind: 'premultiplied',
      known: true,
      why,
    })
    expect(await hintOf(`${order}2.tif`, rgbaTiff(order, [2]))).toEqual({
      kind: 'straight',
      known: true,
      why,
    })
  })

  it('is open where the tag is absent or unspecified', async () => {
    expect(await hintOf(`${order}.tif`, rgbaTiff(order, []))).toBeUndefined()
    expect(await hintOf(`${order}0.tif`, rgbaTiff(order, [0]))).toBeUndefined()
  })

  it('is the first of several, wherever they stand', () => {
    expect(tiffAlpha(rgbaTiff(order, [1, 2]))?.kind).toBe('premultiplied')
    expect(tiffAlpha(rgbaTiff(order, [2, 1, 1]))?.kind).toBe('straight')
    expect(tiffAlpha(rgbaTiff(order, [0, 1, 1]))).toBeUndefined()
  })

  it('is open in a file that is cut short or has the tag in another type', () => {
    const whole = rgbaTiff(order, [1])
    for (let length = 4; length < 8 + 2 + 12 * 9 + 8; length++)
      expect(tiffAlpha(whole.subarray(0, length))).toBeUndefined()
    expect(tiffAlpha(rgbaTiff(order, [1], 4))).toBeUndefined()
  })
})

it('says that BigTIFF is not read', async () => {
  const path = join(folder, 'big.tif')
  await writeFile(path, Buffer.from('49492b00080000001000000000000000', 'hex'))
  await expect(openSource(path)).rejects.toMatchObject({
    exit: 2,
    detail: { code: 'media.big-tiff', where: path },
  })
})
