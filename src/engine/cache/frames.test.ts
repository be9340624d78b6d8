import { mkdtemp, readdir, rename, rm, stat, truncate, utimes } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest'
import { type Movie, makeMovie, noise } from '../../../test/media/fixture.js'
import { smallFiles } from '../../../test/small.js'
import type { NativeFrame } from '../../core/index.js'
import { openSource, type Source } from '../../media/index.js'
import { openCached } from './frames.js'
import { held } from './room.js'
import { Cache } from './store.js'

let all = ''
let folder = ''
let cache: Cache
const COUNT = 30
beforeAll(async () => {
  all = await mkdtemp(join(tmpdir(), 'platefit-frames-'))
})
beforeEach(async () => {
  folder = await mkdtemp(join(all, 'a-'))
  cache = new Cache(join(folder, 'cache'))
})
afterAll(() => rm(all, { recursive: true, force: true }))

async function movie(name: string, seed = 0, format = 'yuv420p', bits = 8): Promise<string> {
  const frames = Array.from({ length: COUNT }, (_, i) => noise(format, 34, 18, bits, seed + i))
  const m: Movie = { encoder: 'ffv1', format, width: 34, height: 18, frames }
  await makeMovie(join(folder, name), m)
  return join(folder, name)
}

async function read(source: Source, first?: number, count?: number): Promise<NativeFrame[]> {
  const out: NativeFrame[] = []
  for await (const f of source.frames(first, count)) out.push(f)
  return out
}

async function entryFiles(): Promise<string[]> {
  const root = join(cache.folder, 'entries')
  const shelves = await readdir(root)
  const names = await Promise.all(
    shelves.map((s) => readdir(join(root, s)).then((n) => n.map((x) => join(root, s, x)))),
  )
  return names.flat()
}

/** Marks every entry as not used for long, so that a use shows. */
async function rest(): Promise<number> {
  await cache.settle()
  const files = await entryFiles()
  for (const f of files) await utimes(f, 1, 1)
  return files.length
}

async function used(): Promise<number> {
  await cache.settle()
  const times = await Promise.all((await entryFiles()).map((f) => stat(f)))
  return times.filter((t) => t.mtimeMs > 2000).length
}

it.each([
  ['yuv420p', 8],
  ['yuv422p10le', 10],
  ['yuva444p10le', 10],
  ['gbrp16le', 16],
] as const)('gives the same frames off, cold and warm, of %s', async (format, bits) => {
  const path = await movie('a.mkv', 0, format, bits)
  const plain = await openSource(path)
  for (const [first, count] of [
    [3, 2],
    [28, 5],
    [4, 3],
    [0, 1],
    [40, 1],
    [25, undefined],
  ] as const) {
    const expected = await read(plain, first, count)
    for (let turn = 0; turn < 2; turn++) {
      const source = await openCached(path, {}, cache)
      expect(await read(source, first, count)).toEqual(expected)
      await source.close()
      await cache.settle()
    }
  }
  await plain.close()
})

it('reads floats and pictures back as they were', async () => {
  const { fire } = await smallFiles(folder)
  const expected = await read(await openSource(fire))
  for (let turn = 0; turn < 2; turn++) {
    expect(await read(await openCached(fire, {}, cache))).toEqual(expected)
    await cache.settle()
  }
  expect((await held(cache.folder)).entries).toBe(4)
})

it('the file under another name is the same one; another under its name is not', async () => {
  const path = await movie('a.mkv')
  const before = await read(await openCached(path, {}, cache), 0, 3)
  await rename(path, join(folder, 'b.mkv'))
  expect(await rest()).toBe(3)
  expect(await read(await openCached(join(folder, 'b.mkv'), {}, cache), 0, 3)).toEqual(before)
  expect(await used()).toBe(3)
  await movie('a.mkv', 100)
  await rest()
  const other = await read(await openCached(path, {}, cache), 0, 3)
  expect(await used()).toBe(3)
  expect(await rest()).toBe(6)
  expect(other).toEqual(await read(await openSource(path), 0, 3))
  expect(other).not.toEqual(before)
})

it('tags leave the frames as they are; a rate, which frames they are', async () => {
  const path = await movie('a.mkv')
  await read(await openCached(path, {}, cache), 5, 1)
  await read(await openCached(path, { encoding: { curve: 's-log3' }, threads: 1 }, cache), 5, 1)
  expect(await rest()).toBe(1)
  await read(await openCached(path, { rate: { num: 50, den: 1 } }, cache), 5, 1)
  expect(await rest()).toBe(2)
})

it('decodes anew what is damaged or missing in the middle', async () => {
  const path = await movie('a.mkv')
  const expected = await read(await openSource(path), 2, 6)
  await read(await openCached(path, {}, cache), 2, 6)
  await cache.settle()
  const files = await entryFiles()
  await truncate(files[1] as string, 100)
  await rm(files[4] as string)
  expect(await read(await openCached(path, {}, cache), 2, 6)).toEqual(expected)
  expect(await rest()).toBe(6)
})

it('keeps nothing of a file that changes while it is read', async () => {
  const path = await movie('a.mkv')
  const source = await openCached(path, {}, cache)
  await utimes(path, 5, 5)
  await read(source, 0, 2)
  await cache.settle()
  expect((await held(cache.folder)).entries).toBe(0)
})

it('two may read at once, and one may leave early', async () => {
  const path = await movie('a.mkv')
  const expected = await read(await openSource(path))
  const source = await openCached(path, {}, cache)
  for await (const f of source.frames()) {
    expect(f).toEqual(expected[0])
    break
  }
  const [a, b] = await Promise.all([read(source), read(source, 10, 12)])
  expect(a).toEqual(expected)
  expect(b).toEqual(expected.slice(10, 22))
})
