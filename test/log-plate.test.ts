/** A plate in a camera's logarithmic curve: it leaves as it came, and what is laid over it stands in its own codes. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { curveOf } from '../src/colour/index.js'
import type { CurveName, NativeFrame } from '../src/core/index.js'
import { renderShot } from '../src/engine/index.js'
import { openSource } from '../src/media/index.js'
import { parseShot, type Shot } from '../src/shot/index.js'
import { plateIsSacred } from './proof/sacred.js'
import { smallFiles } from './small.js'

const FRAMES = 2
let folder: string

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-log-'))
  await smallFiles(folder, FRAMES)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

/** A light that is added without cover, as bright as its file. */
function shotOver(curve: CurveName): Shot {
  return parseShot(
    {
      platefit: 1,
      plate: { file: 'plate', curve, primaries: 's-gamut3-cine' },
      elements: [
        {
          id: 'fire',
          file: 'fire',
          curve: 'srgb',
          primaries: 's-gamut3-cine',
          alpha: 'on-black',
          nature: 'emits',
          position: { x: 80, y: 48 },
          scale: 1,
        },
      ],
    },
    'test',
  )
}

async function frames(path: string): Promise<NativeFrame[]> {
  const source = await openSource(path)
  const out: NativeFrame[] = []
  for await (const frame of source.frames(0, FRAMES)) out.push(frame)
  await source.close()
  return out
}

describe.each(['s-log3', 'logc3-ei800', 'canon-log-2', 'apple-log', 'acescct'] as const)('%s', (curve) => {
  it('a null render of a PNG plate is the plate, and a render wherever nothing touches it', async () => {
    const own = await plateIsSacred(shotOver(curve), folder, 'png-16', FRAMES)
    expect(own).toMatchObject({ frames: FRAMES, nullDiffers: 0, strayed: 0 })
    expect(own.changed).toBeGreaterThan(1000)
  })
})

it('delivers in the plate’s own curve: codes come back, light adds up', async () => {
  const shot = shotOver('s-log3')
  const format = 'png-16'
  const bare = await renderShot(shot, folder, { out: join(folder, 'null'), format, variant: 'null' })
  await renderShot(shot, folder, { out: join(folder, 'out'), format })
  expect(bare.findings.map((f) => f.code)).toContain('media.tag-missing')
  const [plate, untouched, made] = await Promise.all(
    ['plate', 'null', 'out'].map((n) => frames(join(folder, n))),
  )
  const [fire] = await frames(join(folder, 'fire'))
  const log = curveOf('s-log3')
  const srgb = curveOf('srgb')
  for (const [f, frame] of (plate ?? []).entries()) {
    for (const p of [0, 1, 2]) {
      expect(untouched?.[f]?.planes[p]?.data).toEqual(frame.planes[p]?.data)
    }
  }
  // The element's middle, 32 24 of 64 × 48, lies on pixel 80 48 of the plate.
  const at = 48 * 160 + 80
  const light = log.decode((plate?.[0]?.planes[1]?.data[at] ?? 0) / 65535)
  const added = srgb.decode((fire?.planes[1]?.data[24 * 64 + 32] ?? 0) / 65535)
  const expected = 65535 * log.encode(light + added)
  expect(Math.abs((made?.[0]?.planes[1]?.data[at] ?? 0) - expected)).toBeLessThan(1)
})
