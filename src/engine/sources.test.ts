import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { exrFile } from '../../test/media/exrFile.js'
import { smallFiles } from '../../test/small.js'
import { parseShot } from '../shot/index.js'
import { closeShot, openShot } from './sources.js'
import { trackShot } from './track/track.js'
import { curveTrust } from './trust.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-sources-'))
})
afterAll(() => rm(folder, { recursive: true }))

it('opens the layers that the document names', async () => {
  const fill = (v: number) => new Float32Array(4).fill(v)
  const channels = {
    B: fill(1),
    G: fill(1),
    R: fill(1),
    Z: fill(9),
    'f.B': fill(2),
    'f.G': fill(2),
    'f.R': fill(2),
  }
  const bytes = exrFile({ channels, data: [0, 0, 2, 2], display: [0, 0, 2, 2] })
  await writeFile(join(folder, 'a.exr'), bytes)
  const element = {
    id: 'f',
    file: 'a.exr',
    layer: 'f',
    alpha: 'on-black',
    nature: 'emits',
    position: { x: 1, y: 1 },
    scale: 1,
  }
  const holdout = { file: 'a.exr', layer: 'Z' }
  const shot = parseShot({ platefit: 1, plate: { file: 'a.exr' }, elements: [{ ...element, holdout }] }, 'x')
  const sources = await openShot(shot, folder)
  const all = [sources.plate, sources.elements.get('f')!, sources.holdouts.get('f')!]
  const first: number[] = []
  for (const s of all) for await (const f of s.frames(0, 1)) first.push(f.planes[0].data[0])
  expect(first).toEqual([1, 2, 9])
  await closeShot(sources)
})

it('opens a file with the evidence of what the document says of it; without any it was set by hand', async () => {
  const fill = (v: number) => new Float32Array(4).fill(v)
  const bytes = exrFile({
    channels: { B: fill(1), G: fill(1), R: fill(1) },
    data: [0, 0, 2, 2],
    display: [0, 0, 2, 2],
  })
  await writeFile(join(folder, 'b.exr'), bytes)
  const measured = { kind: 'measured', frames: [1], method: 'a look', confidence: 0.65 }
  const plate = { file: 'b.exr', curve: 's-log3', primaries: 'bt2020', rate: '25' }
  const evidence = { curve: measured, rate: { ...measured, value: '24' } }
  const shot = parseShot({ platefit: 1, plate: { ...plate, evidence } }, 'x')
  const sources = await openShot(shot, folder)
  const { encodingEvidence, rateEvidence } = sources.plate.info
  expect(encodingEvidence.curve).toEqual(measured)
  expect(curveTrust(sources.plate)).toBe(0.65)
  expect(encodingEvidence.primaries.kind).toBe('set')
  // Its evidence speaks for another rate: a person has changed it since.
  expect(rateEvidence.kind).toBe('set')
  await closeShot(sources)

  const byHand = await openShot(parseShot({ platefit: 1, plate }, 'x'), folder)
  expect(byHand.plate.info.encodingEvidence.curve.kind).toBe('set')
  expect(curveTrust(byHand.plate)).toBe(1)
  await closeShot(byHand)
})

it('refuses a matte of another size than the plate, and opens the depth map where an element is hidden by it', async () => {
  const grey = (name: string, side: number, across = side, values: number[] = []) => {
    const fill = () => Float32Array.from({ length: side * across }, (_, i) => values[i % values.length] ?? 1)
    const window: [number, number, number, number] = [0, 0, across, side]
    const channels = { B: fill(), G: fill(), R: fill() }
    return writeFile(join(folder, name), exrFile({ channels, data: window, display: window }))
  }
  await grey('plate.exr', 4)
  await grey('small.exr', 2, 2, [1, 2])
  const element = {
    ...{ id: 'f', file: 'plate.exr', alpha: 'on-black', nature: 'emits', position: { x: 1, y: 1 }, scale: 1 },
    distanceM: 4,
  }
  const shot = (holdout: object | undefined) =>
    parseShot(
      {
        platefit: 1,
        plate: { file: 'plate.exr' },
        site: { depth: { file: 'small.exr' } },
        elements: [{ ...element, holdout }],
      },
      'x',
    )
  await expect(openShot(shot({ file: 'small.exr' }), folder)).rejects.toMatchObject({
    code: 'place.holdout-size',
    detail: { expected: '4×4', received: '2×2', where: expect.stringContaining('elements.f.holdout.file') },
  })
  const [hidden, open] = [
    await openShot(shot({ depth: true }), folder),
    await openShot(shot(undefined), folder),
  ]
  expect([hidden.depth?.info.width, open.depth]).toEqual([2, undefined])
  await Promise.all([hidden, open].map(closeShot))

  const bad = async (code: string, ...map: [number, number?, number[]?]) => {
    await grey('small.exr', ...map)
    await expect(openShot(shot({ depth: true }), folder)).rejects.toMatchObject({
      code,
      detail: { where: expect.stringContaining('small.exr') },
    })
  }
  await bad('place.depth-shape', 2, 3, [1, 2])
  await bad('place.depth-flat', 2, 2, [3])
  await bad('place.depth-none', 2, 2, [0])
  await bad('place.depth-none', 2, 2, [Number.NaN])
  await bad('place.depth-below', 2, 2, [-2, -5])
})

it('refuses frames that the plate lacks, here and where it is followed, and an element that is trimmed away whole', async () => {
  await smallFiles(folder)
  const document = (plate: object, fire: object = {}) => ({
    platefit: 1,
    plate: { file: 'plate/plate.####.png', ...plate },
    elements: [
      {
        ...{ id: 'fire', file: 'fire/fire.####.png', alpha: 'on-black', nature: 'emits' },
        ...{ position: { x: 1, y: 1 }, scale: 1 },
        ...fire,
      },
    ],
    tracks: [{ id: 'wall', reference: 0 }],
  })
  const long = document({ frames: { first: 1, count: 4 } })
  const beyond = { code: 'shot.range-beyond-plate', detail: { expected: 'frames within 0 to 3' } }
  await expect(openShot(parseShot(long, 'x'), folder)).rejects.toMatchObject(beyond)
  await writeFile(join(folder, 'long.shot.json'), JSON.stringify(long))
  await expect(trackShot(join(folder, 'long.shot.json'))).rejects.toMatchObject(beyond)
  const opened = (trimFrames: number) => openShot(parseShot(document({}, { trimFrames }), 'x'), folder)
  await expect(opened(4)).rejects.toMatchObject({
    detail: { code: 'shot.trim-beyond-file', where: 'elements.fire.trimFrames', received: '4' },
  })
  await closeShot(await opened(3))
})
