/** ARCHITECTURE rules 1 and 7 on small files: the plate is sacred; same input, same bits. */
import { createHash } from 'node:crypto'
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { renderShot } from '../src/engine/index.js'
import type { DeliveryFormat } from '../src/media/index.js'
import { parseShot, type Shot } from '../src/shot/index.js'
import { plateIsSacred } from './proof/sacred.js'
import { smallFiles } from './small.js'

const FRAMES = 6
let folder: string

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-sacred-'))
  await smallFiles(folder, FRAMES)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

/** A small shot over `plate`: a light with cover, blurred, haze before it, and a surface that answers. */
function shotOver(plate: string): Shot {
  const set = (value: number[]) => ({ value, evidence: { kind: 'set' } })
  const one = Array(3).fill(1e-4) as number[]
  return parseShot(
    {
      platefit: 1,
      plate: {
        file: plate,
        treatments: {
          'sensor.grainLevels': set([0.3]),
          'sensor.grainVariance': set(one),
          'sensor.grainCorrelation': set(Array(12).fill(0.3)),
          'sensor.grainMix': set([0.5, 0.5, 0.5]),
        },
      },
      camera: { sensorWidthMm: 24, focalLengthMm: 35 },
      elements: [
        {
          id: 'fire',
          file: 'fire',
          alpha: 'on-black',
          nature: { emits: 0.5, reflects: 0.5 },
          position: { x: 71.3, y: 40.7 },
          scale: 0.77,
          distanceM: 20,
          keys: [
            { frame: 0, dx: 0 },
            { frame: 5, dx: 11, dy: -3 },
          ],
          lights: [
            {
              polygon: [
                [110, 60],
                [140, 60],
                [140, 80],
                [110, 80],
              ],
              awayM: 2,
              featherPx: 4,
            },
          ],
          treatments: {
            'lens.blurRadius': set([2.3]),
            'light.exposure': set([1]),
            'light.cast': set([1]),
            'light.surfaces': set([0.2, 0.2, 0.2]),
            'air.transmittance': set([0.8, 0.8, 0.8]),
            'air.airlight': set([0.5, 0.5, 0.5]),
          },
        },
      ],
    },
    'test',
  )
}

/** A plate of each layout, made from the same pictures by a null render. */
async function plateAs(format: DeliveryFormat): Promise<string> {
  const sequence = format === 'exr-half' || format === 'png-16'
  const name = `plate-${format}`
  const out = sequence
    ? join(folder, name)
    : join(folder, format === 'h264-preview' ? `${name}.mp4` : `${name}.mov`)
  await renderShot(shotOver('plate'), folder, { out, format, variant: 'null' })
  return sequence ? name : out
}

describe.each<DeliveryFormat>(['prores-422-hq', 'h264-preview', 'exr-half', 'png-16'])(
  'a plate in %s',
  (format) => {
    it('leaves a null render as it came, and a render wherever nothing touches it', async () => {
      const plate = await plateAs(format)
      const own = await plateIsSacred(shotOver(plate), folder, format, 3)
      expect(own).toMatchObject({ frames: 3, nullDiffers: 0, strayed: 0 })
      expect(own.changed).toBeGreaterThan(1000)
      const other = format === 'prores-422-hq' ? 'h264-preview' : 'prores-422-hq'
      expect(await plateIsSacred(shotOver(plate), folder, other, 2)).toMatchObject({
        nullDiffers: -1,
        strayed: 0,
      })
    })
  },
)

describe('same input, same bits', () => {
  it('with one worker and with two, whole and in two halves', async () => {
    const shot = shotOver('plate')
    const render = (out: string, workers: number, frames?: { first: number; count: number }) =>
      renderShot(
        shot,
        folder,
        { out: join(folder, out), format: 'png-16', ...(frames === undefined ? {} : { frames }) },
        { workers },
      )
    const one = await render('one', 1)
    const two = await render('two', 2)
    expect(two.frames).toEqual(one.frames)
    const first = await render('half-a', 2, { first: 0, count: 2 })
    const second = await render('half-b', 1, { first: 2, count: FRAMES - 2 })
    expect([...first.frames, ...second.frames]).toEqual(one.frames)
    expect([...(await digests('half-a')), ...(await digests('half-b'))]).toEqual(await digests('one'))
    expect(await digests('two')).toEqual(await digests('one'))
  })

  it('the same movie file from one worker and from two', async () => {
    const shot = shotOver('plate')
    const files = ['one.mov', 'two.mov'].map((f) => join(folder, f))
    for (const [i, out] of files.entries()) {
      await renderShot(shot, folder, { out, format: 'prores-422-hq' }, { workers: i + 1 })
    }
    const [a, b] = await Promise.all(files.map((f) => readFile(f)))
    expect(a?.equals(b as Buffer)).toBe(true)
  })
})

async function digests(sequence: string): Promise<string[]> {
  const names = (await readdir(join(folder, sequence))).sort()
  return Promise.all(
    names.map(async (n) =>
      createHash('sha256')
        .update(await readFile(join(folder, sequence, n)))
        .digest('hex'),
    ),
  )
}
