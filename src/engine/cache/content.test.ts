import {
  copyFile,
  link,
  mkdir,
  mkdtemp,
  open,
  rename,
  rm,
  stat,
  symlink,
  utimes,
  writeFile,
} from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest'
import { contentOf, sampleOf } from './content.js'
import { held } from './room.js'
import { Cache } from './store.js'

let all = ''
let folder = ''
let cache: Cache
beforeAll(async () => {
  all = await mkdtemp(join(tmpdir(), 'platefit-content-'))
})
beforeEach(async () => {
  folder = await mkdtemp(join(all, 'a-'))
  cache = new Cache(join(folder, 'cache'))
})
afterAll(() => rm(all, { recursive: true, force: true }))

const idOf = async (name: string) => (await contentOf(join(folder, name), false, cache))?.id
const MIB = 2 ** 20
const LARGE = 40 * MIB

async function put(name: string, at: number, text: string): Promise<void> {
  const file = await open(join(folder, name), 'r+')
  await file.write(text, at)
  await file.close()
}

async function backdate(name: string, to = 1_700_000_000): Promise<void> {
  await utimes(join(folder, name), to, to)
}

it('a small file is told by its bytes alone', async () => {
  await writeFile(join(folder, 'a.mov'), 'one')
  const one = await idOf('a.mov')
  await copyFile(join(folder, 'a.mov'), join(folder, 'b.mov'))
  await link(join(folder, 'a.mov'), join(folder, 'c.mov'))
  await symlink('a.mov', join(folder, 'd.mov'))
  for (const name of ['b.mov', 'c.mov', 'd.mov']) expect(await idOf(name)).toBe(one)
  await rename(join(folder, 'a.mov'), join(folder, 'e.mov'))
  expect(await idOf('e.mov')).toBe(one)
  expect(await idOf('a.mov')).toBeUndefined()
  await writeFile(join(folder, 'e.mov'), 'two')
  expect(await idOf('e.mov')).not.toBe(one)
})

it('a large one by its size, its time and 64 blocks', async () => {
  await writeFile(join(folder, 'a.mov'), '')
  const file = await open(join(folder, 'a.mov'), 'r+')
  await file.truncate(LARGE)
  await file.close()
  await backdate('a.mov')
  const one = await idOf('a.mov')
  await rename(join(folder, 'a.mov'), join(folder, 'b.mov'))
  expect(await idOf('b.mov')).toBe(one)
  // In a block, though the time is set back.
  for (const at of [0, LARGE - 1]) {
    await put('b.mov', at, 'x')
    await backdate('b.mov')
    expect(await idOf('b.mov')).not.toBe(one)
    await put('b.mov', at, '\0')
    await backdate('b.mov')
    expect(await idOf('b.mov')).toBe(one)
  }
  // Between the blocks: seen by the time, and by nothing else.
  await put('b.mov', 300_000, 'x')
  expect(await idOf('b.mov')).not.toBe(one)
  await backdate('b.mov')
  expect(await idOf('b.mov')).toBe(one)
  await put('b.mov', LARGE, 'x')
  await backdate('b.mov')
  expect(await idOf('b.mov')).not.toBe(one)
})

it('looked at without its time, a copy is the same on every disk', async () => {
  await writeFile(join(folder, 'a.mov'), new Uint8Array(LARGE))
  const sample = (name: string) => sampleOf(join(folder, name), false)
  const one = await sample('a.mov')
  await copyFile(join(folder, 'a.mov'), join(folder, 'b.mov'))
  await backdate('b.mov')
  expect(await sample('b.mov')).toBe(one)
  await put('b.mov', LARGE - 1, 'x')
  expect(await sample('b.mov')).not.toBe(one)
  await put('a.mov', LARGE, 'x')
  expect(await sample('a.mov')).not.toBe(one)
  await expect(sample('c.mov')).rejects.toThrow()
})

it('a sequence by all its files in their order', async () => {
  const make = async (name: string, texts: readonly string[]) => {
    await mkdir(join(folder, name))
    for (const [i, text] of texts.entries())
      await writeFile(join(folder, name, `x.${String(i + 7).padStart(4, '0')}.png`), text)
  }
  await make('a', ['one', 'two', 'three'])
  const one = await idOf('a')
  expect(await idOf('a/x.####.png')).toBe(one)
  await rename(join(folder, 'a'), join(folder, 'b'))
  expect(await idOf('b')).toBe(one)
  await make('c', ['one', 'two', 'threE'])
  await make('d', ['one', 'three', 'two'])
  await make('e', ['one', 'two'])
  await make('f', ['onet', 'wo', 'three'])
  const others = await Promise.all(['c', 'd', 'e', 'f'].map(idOf))
  expect(new Set([one, ...others]).size).toBe(5)
})

it('knows when the file has changed since', async () => {
  await writeFile(join(folder, 'a.mov'), 'one')
  const content = await contentOf(join(folder, 'a.mov'), false, cache)
  expect(await content?.unchanged()).toBe(true)
  await writeFile(join(folder, 'a.mov'), 'two')
  expect(await content?.unchanged()).toBe(false)
  await rm(join(folder, 'a.mov'))
  expect(await content?.unchanged(0)).toBe(false)
})

it('remembers a file that has been at rest, and none that has just been written', async () => {
  await writeFile(join(folder, 'a.mov'), 'one')
  const one = await idOf('a.mov')
  await cache.settle()
  expect((await held(cache.folder)).entries).toBe(0)
  await backdate('a.mov')
  expect(await idOf('a.mov')).toBe(one)
  await cache.settle()
  expect((await held(cache.folder)).entries).toBe(1)
  // A change of the same size, its time set back: the file system's own time of change tells.
  const { mtimeMs } = await stat(join(folder, 'a.mov'))
  await writeFile(join(folder, 'a.mov'), 'two')
  await backdate('a.mov', mtimeMs / 1000)
  expect(await idOf('a.mov')).not.toBe(one)
})

it('what is no file has none', async () => {
  expect(await idOf('nowhere.mov')).toBeUndefined()
  expect(await idOf('.')).toBeUndefined()
})
