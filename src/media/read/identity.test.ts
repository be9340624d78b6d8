import { copyFile, mkdir, mkdtemp, rename, rm, symlink, utimes, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { sourceIdentity } from '../index.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-identity-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

it('is that of the file, whatever it is called by, and not that of a copy', async () => {
  const file = join(folder, 'a.mov')
  await writeFile(file, Buffer.alloc(100_000, 1))
  await symlink(file, join(folder, 'link.mov'))
  await copyFile(file, join(folder, 'copy.mov'))
  const own = await sourceIdentity(file)
  expect(await sourceIdentity(join(folder, '..', folder.split('/').at(-1)!, 'a.mov'))).toBe(own)
  expect(await sourceIdentity(join(folder, 'link.mov'))).toBe(own)
  expect(await sourceIdentity(join(folder, 'copy.mov'))).not.toBe(own)
})

it('changes with size, time, and content at both ends and between, times being the same', async () => {
  const file = join(folder, 'b.mov')
  const bytes = Buffer.alloc(100_000, 1)
  const identity = async (content: Buffer, time = 1e9) => {
    await writeFile(file, content)
    await utimes(file, time, time)
    return sourceIdentity(file)
  }
  const ids = [await identity(bytes), await identity(bytes, 1e9 + 1), await identity(bytes.subarray(1))]
  for (const at of [0, 50_000, 99_999]) {
    const other = Buffer.from(bytes)
    other[at] = 2
    // A stretch, since not every byte is looked at.
    other.fill(2, Math.max(0, at - 3000), Math.min(at + 3000, other.length))
    ids.push(await identity(other))
  }
  expect(new Set(ids).size).toBe(ids.length)
  expect(await identity(bytes)).toBe(ids[0])
})

it('of a sequence changes with every file of it, and with a name', async () => {
  const at = join(folder, 'seq')
  await mkdir(at)
  for (const n of [1, 2, 3]) await writeFile(join(at, `a.000${n}.dpx`), 'x')
  const path = join(at, 'a.####.dpx')
  const ids = [await sourceIdentity(path)]
  await utimes(join(at, 'a.0002.dpx'), 1e9, 1e9)
  ids.push(await sourceIdentity(path))
  await rename(join(at, 'a.0003.dpx'), join(at, 'a.0004.dpx'))
  ids.push(await sourceIdentity(path))
  expect(new Set(ids).size).toBe(3)
})
