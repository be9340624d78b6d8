import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { trackShot } from './track.js'

let folder: string
const path = () => join(folder, 'a.shot.json')
const DOCUMENT = JSON.stringify({ platefit: 1, plate: { file: 'p.mov' }, elements: [] })

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-add-'))
  await writeFile(path(), DOCUMENT)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

it('places beyond any picture are answered with where they stand, and change nothing', async () => {
  await expect(trackShot(path(), { add: { points: [[1e12, 5]] } })).rejects.toMatchObject({
    detail: { code: 'track.wrong', where: '--point', faults: [{ where: 'points.0.0' }] },
  })
  await expect(
    trackShot(path(), {
      add: {
        region: [
          [1, 1],
          [1e9, 1],
          [5, 5],
        ],
      },
    }),
  ).rejects.toMatchObject({
    detail: { code: 'track.wrong', where: '--region', faults: [{ where: 'region.1.0' }] },
  })
  expect(await readFile(path(), 'utf8')).toBe(DOCUMENT)
})
