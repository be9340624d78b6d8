/** Maps written and read again, held against the lens's equation by hand; and maps of others' making. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { exrFile } from '../../../test/media/exrFile.js'
import { distortionWays } from '../../chain/lens/distortion/model.js'
import { told } from '../../core/index.js'
import { encodeStill, openSource } from '../../media/index.js'
import { fromMap } from './fromMap.js'
import { findLens } from './lens.js'
import { mapFiles } from './mapFiles.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-map-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const SIZE = { width: 240, height: 136 }
const UNIT = 68
/** Undistorted to distorted [brown1971], k1 and p1 alone, by hand. */
const [K1, P1] = [-0.025, 0.002]
function lands(x: number, y: number): [number, number] {
  const r2 = x * x + y * y
  return [x * (1 + K1 * r2) + 2 * P1 * x * y, y * (1 + K1 * r2) + P1 * (r2 + 2 * y * y)]
}

/** A file of another's making, after the definition: pixel centres, 0 to 1, from the upper left. */
function uv(name: string, at: (x: number, y: number) => readonly [number, number], kind?: 'half'): string {
  const { width, height } = SIZE
  const places = Array.from({ length: width * height }, (_, o) => {
    const [x, y] = [(o % width) + 0.5, Math.floor(o / width) + 0.5]
    const [u, v] = at((x - width / 2) / UNIT, (y - height / 2) / UNIT)
    return [(u * UNIT + width / 2) / width, (v * UNIT + height / 2) / height] as const
  })
  const round = (v: number) => (kind === 'half' ? Math.round(v * 2048) / 2048 : v)
  const channels = {
    G: Float32Array.from(places, (p) => round(p[1])),
    R: Float32Array.from(places, (p) => round(p[0])),
  }
  const window = [0, 0, width, height] as const
  const file = join(folder, name)
  writeFileSync(file, exrFile({ channels, data: window, display: window }))
  return file
}

/** px, over the picture: how far a read lens draws what it should. */
function off(terms: readonly number[]): number {
  const { distort, undistort } = distortionWays({ form: 'map', terms }, [240 / 136, 1])
  let worst = 0
  for (let y = -0.95; y <= 0.95; y += 0.19) {
    for (let x = -1.7; x <= 1.7; x += 0.17) {
      const [u, v] = lands(x, y)
      if (Math.abs(u) > 240 / 136 || Math.abs(v) > 1) continue
      const [p, q] = distort(x, y)
      const [s, t] = undistort(u, v)
      worst = Math.max(worst, UNIT * Math.hypot(p - u, q - v), UNIT * Math.hypot(s - x, t - y))
    }
  }
  return worst
}

/** By repetition. */
function straightOf(x: number, y: number): [number, number] {
  let [u, v] = [x, y]
  for (let i = 0; i < 60; i++) {
    const [p, q] = lands(u, v)
    u += x - p
    v += y - q
  }
  return [u, v]
}

describe('a map that others made', () => {
  it.each([
    ['to-straight', straightOf, undefined, 0.02],
    ['to-plate', lands, undefined, 0.05],
    // Steps of 1/2048 are 0.12 px here.
    ['to-straight', straightOf, 'half', 0.1],
  ] as const)('%s bends as it says', async (way, at, kind, limit) => {
    const file = uv(`${way}-${kind}.exr`, at, kind)
    const { reading } = await fromMap(SIZE, { file, way })
    if (!told(reading)) throw new Error(reading.cannotTell)
    expect(off(reading.value.terms)).toBeLessThan(limit)
    // The same lens on a plate of twice the size.
    const large = await fromMap({ width: 480, height: 272 }, { file, way })
    expect(told(large.reading) && large.reading.value).toEqual(reading.value)
  })

  it('that points nowhere is refused', async () => {
    const file = uv('holes.exr', (x, y) => (x > 1 ? [Number.NaN, y] : [x, y]))
    await expect(fromMap(SIZE, { file, way: 'to-straight' })).rejects.toThrow('points nowhere')
  })

  it('is refused where it is of another picture, or its lens moves', async () => {
    const file = uv('one.exr', straightOf)
    await expect(fromMap({ width: 240, height: 180 }, { file, way: 'to-straight' })).rejects.toThrow(
      'another picture',
    )
    uv('moves.0001.exr', straightOf)
    const moving = uv('moves.0002.exr', (x, y) => [1.02 * x, 1.02 * y])
    await expect(fromMap(SIZE, { file: moving.replace('0002', '####'), way: 'to-straight' })).rejects.toThrow(
      'changes from its first',
    )
  })
})

it('is an OpenEXR file, and said to be when it is none', async () => {
  const file = join(folder, 'depth.png')
  writeFileSync(file, await encodeStill(new Uint8Array(3 * 16 * 16), 16, 16, 'png'))
  await expect(fromMap(SIZE, { file, way: 'to-straight' })).rejects.toMatchObject({
    code: 'lens.map-file',
    message: expect.stringContaining('A distortion map is an OpenEXR file'),
  })
})

describe('a map of our own', () => {
  it.each(['to-straight', 'to-plate'] as const)(
    '%s comes back, and says what the definition says',
    async (way) => {
      const { width, height } = SIZE
      const plate = join(folder, 'plate.png')
      writeFileSync(
        plate,
        await encodeStill(new Uint8Array(3 * width * height).fill(90), width, height, 'png'),
      )
      const path = join(folder, `${way}.shot.json`)
      const treatments = { 'lens.distortion': { value: [K1, 0, P1, 0, 0], evidence: { kind: 'set' } } }
      writeFileSync(
        path,
        JSON.stringify({ platefit: 1, plate: { file: 'plate.png', still: true, treatments } }),
      )
      const out = join(folder, `${way}-own.exr`)
      const { bytes, names } = await mapFiles(path, out, way)
      expect(names).toEqual([out])
      writeFileSync(out, bytes)
      // A pixel by hand.
      const source = await openSource(out, { layer: 'R' })
      for await (const { planes } of source.frames(0, 1)) {
        const [x, y] = [(200.5 - 120) / UNIT, (20.5 - 68) / UNIT]
        const [u] = (way === 'to-straight' ? straightOf : lands)(x, y)
        expect(planes[0]?.data[20 * width + 200]).toBeCloseTo((u * UNIT + 120) / 240, 5)
      }
      await source.close()
      writeFileSync(path, JSON.stringify({ platefit: 1, plate: { file: 'plate.png', still: true } }))
      const { distortion } = await findLens(path, { map: { file: out, way } })
      if (!told(distortion)) throw new Error(distortion.cannotTell)
      expect(off(distortion.value.terms)).toBeLessThan(way === 'to-straight' ? 0.02 : 0.05)
      expect(JSON.parse(readFileSync(path, 'utf8')).plate.treatments['lens.distortion']).toMatchObject({
        form: 'map',
      })
      await expect(findLens(path, { map: { file: out, way } })).resolves.toBeDefined()
      await expect(mapFiles(path, join(folder, 'x.png'), way)).rejects.toThrow('written as OpenEXR')
    },
  )

  it('of a plate whose lens is not known there is none', async () => {
    const path = join(folder, 'none.shot.json')
    writeFileSync(path, JSON.stringify({ platefit: 1, plate: { file: 'plate.png', still: true } }))
    await expect(mapFiles(path, join(folder, 'n.exr'), 'to-plate')).rejects.toThrow(
      'says nothing of the lens',
    )
  })
})
