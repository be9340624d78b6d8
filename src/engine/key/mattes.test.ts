/** A disc before a ground that is known, drawn without a codec: what covers each pixel follows from geometry. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { sdr } from '../../../test/encodings.js'
import { platefit } from '../../../test/platefit.js'
import { emptyImage, uniform } from '../../core/index.js'
import { pack, unpack } from '../../kernels/index.js'
import { createWriter, deliveryEncoding, deliveryLayout, openSource } from '../../media/index.js'
import { keyFile } from './key.js'

type Colour = readonly [number, number, number]

const [W, H] = [128, 96]
const GREEN: Colour = [0.06, 0.4, 0.09]
const OWN: Colour = [0.4, 0.3, 0.25]
const cover = (x: number, y: number) =>
  Math.min(Math.max((24 - Math.hypot(x + 0.5 - 64, y + 0.5 - 48)) / 3 + 0.5, 0), 1)

let folder = ''
let clip = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-mattes-'))
  clip = await drawn('green', 2, (x, y, n) => over(cover(x, y), OWN, GREEN, lit(x, y, n)))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const lit = (x: number, y: number, n: number) =>
  (1 - (0.2 * x) / W) * (1 + 0.02 * (uniform(9, n, x, y, 0) - 0.5))

function over(a: number, own: Colour, ground: Colour, light = 1): Colour {
  return own.map((v, c) => a * v + (1 - a) * light * ground[c]!) as unknown as Colour
}

const grey = (v: number): Colour => [v, v, v]

async function drawn(
  name: string,
  frames: number,
  at: (x: number, y: number, n: number) => Colour,
  [w, h] = [W, H],
): Promise<string> {
  const encoding = deliveryEncoding('exr-half', sdr)
  const path = join(folder, name, 'x.####.exr')
  const spec = { format: 'exr-half' as const, width: w, height: h, rate: { num: 25, den: 1 }, encoding }
  const writer = await createWriter(path, spec)
  for (let n = 0; n < frames; n++) {
    const image = emptyImage({ x: 0, y: 0, width: w, height: h })
    for (let p = 0; p < w * h; p++) image.data.set([...at(p % w, Math.floor(p / w), n), 1], 4 * p)
    await writer.write(pack(image, deliveryLayout('exr-half', { alpha: false }), encoding))
  }
  await writer.finish()
  return path
}

/** Premultiplied light and alpha of the first frame. */
async function keyed(file: string, name: string, more: object): Promise<Float32Array> {
  const out = join(folder, name, 'k.####.exr')
  await keyFile(file, { out, spill: 1, ...more }, { workers: 1 })
  const source = await openSource(out)
  try {
    for await (const f of source.frames(0, 1))
      return Float32Array.from(unpack(f, source.info.encoding, { x: 0, y: 0, width: W, height: H }).data)
  } finally {
    await source.close()
  }
  throw new Error('no frame')
}

const alphaAt = (data: Float32Array, x: number, y: number) => data[4 * (y * W + x) + 3]!

/** Of the disc whose area is that of the matte, px. */
function radiusOf(data: Float32Array): number {
  let area = 0
  for (let i = 3; i < data.length; i += 4) area += data[i]!
  return Math.sqrt(area / Math.PI)
}

describe('a matte that is given', { timeout: 120_000 }, () => {
  it('cuts the element out, and its ground is taken off where that is known', async () => {
    const even = await drawn('even', 1, (x, y) => over(cover(x, y), OWN, GREEN))
    const matte = await drawn('matte', 1, (x, y) => grey(cover(x, y)))
    const [known, unknown] = [
      await keyed(even, 'known', { matte, clean: GREEN }),
      await keyed(even, 'unknown', { matte }),
    ]
    for (const [x, y] of [
      [64, 48],
      [87, 48],
      [64, 25],
      [5, 5],
    ] as const) {
      const a = cover(x, y)
      const i = 4 * (y * W + x)
      for (const c of [0, 1, 2] as const) {
        expect(known[i + c]).toBeCloseTo(a * OWN[c], 2)
        expect(unknown[i + c]).toBeCloseTo(a * over(a, OWN, GREEN)[c], 2)
      }
      expect(known[i + 3]).toBeCloseTo(a, 2)
    }
  })

  it('holds out and in, beside the key and drawn areas, and edges go where they are told', async () => {
    const [plain, wide] = [
      await keyed(clip, 'plain', {}),
      await keyed(clip, 'wide', { edge: { out: 3, wider: 0 } }),
    ]
    expect(Math.abs(radiusOf(wide) - radiusOf(plain) - 3)).toBeLessThan(0.1)
    // Its colour goes outward too.
    const rim = 4 * (48 * W + 90)
    expect(wide[rim + 3]).toBeGreaterThan(0.3)
    for (const c of [0, 1, 2] as const)
      expect(Math.abs(wide[rim + c]! / wide[rim + 3]! - OWN[c])).toBeLessThan(0.05)
    const half = await drawn('half', 1, (x) => grey(x < 64 ? 0.5 : 0))
    const top = await drawn('top', 2, (_x, y) => grey(y < 40 ? 1 : 0))
    const box = await drawn('box', 1, (x, y) => grey(x > 100 && y > 80 ? 1 : 0))
    const held = await keyed(clip, 'held', { outsideFiles: [half, top], coveredFiles: [box] })
    expect(alphaAt(held, 70, 30)).toBe(0)
    expect(alphaAt(held, 50, 48)).toBeCloseTo(0.5, 3)
    expect(alphaAt(held, 75, 48)).toBe(1)
    expect(alphaAt(held, 120, 90)).toBe(1)
    expect(alphaAt(held, 120, 60)).toBe(0)
  })

  it('is refused where it has another size, or frames that belong to none', async () => {
    const small = await drawn('small', 1, () => grey(1), [64, 48])
    const three = await drawn('three', 3, () => grey(1))
    const asked = (more: object) =>
      keyFile(clip, { out: join(folder, 'no', 'k.####.exr'), spill: 1, ...more })
    await expect(asked({ matte: small })).rejects.toMatchObject({
      detail: { code: 'key.wrong-size', expected: expect.stringContaining('128×96'), received: '64×48' },
    })
    await expect(asked({ outsideFiles: [three] })).rejects.toMatchObject({
      detail: { code: 'key.matte-frames', received: '3' },
    })
    const done = await platefit(folder, [
      'key',
      clip,
      '--matte',
      three,
      '--out',
      join(folder, 'no', 'k.####.exr'),
    ])
    expect([done.code, done.err]).toEqual([2, expect.stringContaining('which of its frames')])
  })
})

describe('a plain wall', { timeout: 120_000 }, () => {
  it.each([
    ['light', 0.55, [0.05, 0.04, 0.06]],
    ['dark', 0.09, [0.5, 0.42, 0.4]],
  ] as const)('that is %s, shown at a place, gives the coverage of what is not', async (name, level, own) => {
    const wall = await drawn(name, 1, (x, y, n) => over(cover(x, y), own, grey(level), lit(x, y, n)))
    const made = await keyed(wall, `by-${name}`, { wall: { x: 8, y: 8 } })
    let [off, edge] = [0, 0]
    for (let y = 0; y < H; y++)
      for (let x = 0; x < W; x++) {
        const [a, far] = [cover(x, y), Math.hypot(x + 0.5 - 64, y + 0.5 - 48)]
        if (far > 34) expect(alphaAt(made, x, y)).toBe(0)
        else if (far < 16) expect(alphaAt(made, x, y)).toBe(1)
        else if (a > 0 && a < 1) {
          off += Math.abs(alphaAt(made, x, y) - a)
          edge++
        }
      }
    expect(off / edge).toBeLessThan(0.06)
  })
})
