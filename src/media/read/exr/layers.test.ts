import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { exrFile, exrParts } from '../../../../test/media/exrFile.js'
import { openSource } from '../open.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-layers-'))
})
afterAll(() => rm(folder, { recursive: true }))

const [W, H] = [5, 3]
/** Samples that say whose they are. */
const own = (k: number) => Float32Array.from({ length: W * H }, (_, i) => k + i / 64)
const at = { data: [0, 0, W, H], display: [0, 0, W, H] } as const
let count = 0

async function read(bytes: Buffer, layer?: string) {
  const path = join(folder, `${'abcdefghijklmnopqrstuvwxyz'[count++]}.exr`)
  await writeFile(path, bytes)
  const s = await openSource(path, layer === undefined ? {} : { layer })
  for await (const f of s.frames()) return { info: s.info, planes: f.planes.map((p) => Array.from(p.data)) }
  throw new Error('no frame')
}

const all = {
  B: own(1),
  G: own(2),
  R: own(3),
  Z: own(4),
  'fire.core.B': own(5),
  'fire.core.G': own(6),
  'fire.core.R': own(7),
  'smoke.A': own(8),
  'smoke.B': own(9),
  'smoke.G': own(10),
  'smoke.R': own(11),
}

describe('layers', () => {
  const lists = (...k: number[]) => k.map((n) => Array.from(own(n)))

  it.each([
    [undefined, lists(3, 2, 1)],
    ['main', lists(3, 2, 1)],
    ['fire.core', lists(7, 6, 5)],
    ['smoke', lists(11, 10, 9, 8)],
    ['Z', lists(4, 4, 4)],
    ['smoke.A', lists(8, 8, 8)],
  ] as const)('%s', async (layer, planes) => {
    const got = await read(exrFile({ ...at, channels: all }), layer)
    expect(got.planes).toEqual(planes)
    expect(got.info.exr?.layer).toBe(layer ?? 'main')
    expect(got.info.exr?.layers.slice(0, 4)).toEqual(['main', 'fire.core', 'smoke', 'B'])
  })

  it('names the ones there are when asked for another', async () => {
    const asked = read(exrFile({ ...at, channels: all }), 'dust')
    await expect(asked).rejects.toMatchObject({ code: 'media.exr-no-layer', exit: 2 })
    await expect(asked).rejects.toThrow(/fire\.core, smoke, B, G, R, Z/)
    const none = read(exrFile({ ...at, channels: { Z: own(1) } }))
    await expect(none).rejects.toMatchObject({ code: 'media.exr-no-colour' })
    await expect(none).rejects.toThrow(/Z/)
  })

  it('are named in the same words where they are listed and where one is missed', async () => {
    const { info } = await read(exrFile({ ...at, channels: all }), 'smoke')
    const remedy = info.findings.find((f) => f.code === 'media.exr-channels-unused')?.detail.remedy
    expect(remedy).toMatch(/`layer` in a shot document, `--layer` in `diagnose`.*: main, fire\.core\.$/)
    const none = read(exrFile({ ...at, channels: { Z: own(1) } }))
    await expect(none).rejects.toThrow(/`layer` in a shot document, `--layer` in `diagnose`\): Z/)
  })

  it('may be called main themselves', async () => {
    const channels = { B: own(1), G: own(2), R: own(3), 'main.B': own(4), 'main.G': own(5), 'main.R': own(6) }
    expect((await read(exrFile({ ...at, channels }), 'main')).planes).toEqual(lists(6, 5, 4))
    const plain = await read(exrFile({ ...at, channels }))
    expect(plain.planes).toEqual(lists(3, 2, 1))
    expect(plain.info.exr?.layers.slice(0, 2)).toEqual(['main', 'B'])
  })

  it('has none outside OpenEXR', async () => {
    const path = join(folder, 'no.mov')
    await writeFile(path, 'nothing')
    await expect(openSource(path, { layer: 'x' })).rejects.toMatchObject({ code: 'media.no-layers', exit: 2 })
  })
})

describe('parts', () => {
  const parts = () =>
    exrParts({
      left: { ...at, channels: { B: own(1), G: own(2), R: own(3) } },
      right: {
        channels: { B: own(4), G: own(5), R: own(6), 'spec.Y': own(7) },
        data: [-1, 2, W, H],
        display: [0, 0, 4, 4],
        // SMPTE ST 2065-1 (AP0).
        chromaticities: [0.7347, 0.2653, 0, 1, 0.0001, -0.077, 0.32168, 0.33767],
      },
      depth: { ...at, channels: { Z: own(8) } },
    })
  const lists = (...k: number[]) => k.map((n) => Array.from(own(n)))

  it('are read one by one, each in its own windows and primaries', async () => {
    const first = await read(parts())
    expect(first.planes).toEqual(lists(3, 2, 1))
    expect(first.info.findings.map((f) => f.code)).toEqual(['media.exr-parts-unused'])
    expect((await read(parts(), 'left/G')).planes[0]).toEqual(lists(2)[0])
    expect((await read(parts(), 'depth/Z')).planes[0]).toEqual(lists(8)[0])
    const right = await read(parts(), 'right')
    expect(right.info).toMatchObject({
      width: 4,
      height: 4,
      dataWindow: { x: -1, y: 2, width: W, height: H },
    })
    expect(right.info.encoding.primaries).toBe('aces-ap0')
    const red = own(6)
    expect(right.planes[0]).toEqual([...Array(8).fill(0), ...red.subarray(1, 5), ...red.subarray(6, 10)])
    expect((await read(parts(), 'right/spec')).planes[0].slice(8, 12)).toEqual(
      Array.from(own(7).subarray(1, 5)),
    )
  })

  it('lists what each holds', async () => {
    const { info } = await read(parts())
    expect(info.exr?.parts.map((p) => p.name)).toEqual(['left', 'right', 'depth'])
    expect(info.exr?.parts[1]).toMatchObject({
      compression: 'none',
      tiled: false,
      displayWindow: { x: 0, y: 0, width: 4, height: 4 },
      channels: ['B', 'G', 'R', 'spec.Y'].map((name) => ({ name, type: 'float' })),
    })
    expect(info.exr?.layers).toContain('right/spec')
  })

  it('cut short are refused', async () => {
    await expect(read(parts().subarray(0, -5), 'depth/Z')).rejects.toMatchObject({
      code: 'media.damaged-frame',
    })
  })
})
