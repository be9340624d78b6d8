import { mkdtemp, rm, stat, utimes } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { smallFiles } from '../../test/small.js'
import type { DeliverySpec } from '../media/index.js'
import { parseShot } from '../shot/index.js'
import { makePlan } from './plan.js'
import { renderKey } from './renderKey.js'
import { closeShot, openShot } from './sources.js'
import type { RenderOptions } from './types.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-key-'))
  await smallFiles(folder, 3)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const blur = (value: number, note: string) => ({
  'lens.blurRadius': { value: [value], evidence: { kind: 'set', note } },
})

async function key(
  treatments: object = blur(1, 'by eye'),
  more: Partial<RenderOptions> = {},
  numbers = [0, 1, 2],
) {
  const fire = {
    id: 'fire',
    file: 'fire',
    alpha: 'on-black',
    nature: 'emits',
    position: { x: 9, y: 9 },
    scale: 1,
  }
  const shot = parseShot(
    { platefit: 1, plate: { file: 'plate' }, elements: [{ ...fire, treatments }] },
    'test',
  )
  const sources = await openShot(shot, folder)
  const options: RenderOptions = { out: 'a.mov', format: 'prores-422-hq', ...more }
  const spec = { format: options.format, width: 160, height: 96 } as DeliverySpec
  try {
    return await renderKey(makePlan(shot, sources, options), sources, numbers, options, spec)
  } finally {
    await closeShot(sources)
  }
}

it('is the same for what renders the same', async () => {
  const one = await key()
  expect(one).toMatch(/^[0-9a-f]{64}$/)
  expect(await key()).toBe(one)
  expect(await key(blur(1, 'another reason'))).toBe(one)
  expect(await key(undefined, { out: 'elsewhere.mov', fresh: true })).toBe(one)
})

it('differs with the document, with what is asked, and with every file of a source', async () => {
  const keys = [
    await key(),
    await key(blur(1.5, 'by eye')),
    await key(undefined, { variant: 'plain' }),
    await key(undefined, { grain: false }),
    await key(undefined, { format: 'prores-4444' }),
    await key(undefined, {}, [0, 1]),
  ]
  const second = join(folder, 'plate', 'plate.0002.png')
  const { atime, mtime } = await stat(second)
  await utimes(second, atime, new Date(mtime.getTime() + 1000))
  keys.push(await key())
  expect(new Set(keys).size).toBe(7)
})
