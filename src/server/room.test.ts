import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { Room } from './room.js'

let folder: string

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-room-'))
  // Before `z` in the order of names, and deeper.
  await mkdir(join(folder, 'a', 'b'), { recursive: true })
  for (let from = 0; from < 6000; from += 500)
    await Promise.all(
      Array.from({ length: 500 }, (_, i) => {
        const n = String(from + i).padStart(5, '0')
        return writeFile(join(folder, 'a', 'b', `soot.${n}.png`), '')
      }),
    )
  await mkdir(join(folder, 'z'))
  await writeFile(join(folder, 'z', 'last.shot.json'), '')
})
afterAll(() => rm(folder, { recursive: true, force: true }))

it('lists a folder of long sequences whole', async () => {
  const room = await Room.open(folder)
  expect(await room.list()).toMatchObject({
    shots: ['z/last.shot.json'],
    media: [{ path: 'a/b/soot.#####.png', kind: 'sequence' }],
    more: false,
  })
})

it('lists what lies near first where there is too much, and says so', async () => {
  const room = await Room.open(folder, 100)
  expect(await room.list()).toMatchObject({ shots: ['z/last.shot.json'], more: true })
})
