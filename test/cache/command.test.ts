/** The cache as a person meets it: where it lies, what it holds, how it is cleared, and that it never fails a job. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { platefit as run } from '../platefit.js'
import { smallFiles } from '../small.js'

let folder: string
const platefit = (...args: string[]) => run(folder, args)

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-command-'))
  await smallFiles(folder)
  await platefit('new', '--plate', 'plate', '--element', 'fire', '--out', 'a.shot.json')
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function json(...args: string[]) {
  const { code, out, err } = await platefit(...args, '--json')
  expect(err).toBe('')
  return { code, said: JSON.parse(out) }
}

it('keeps what it decodes and measures, says how much, and clears it', async () => {
  const where = ['--cache', 'kept']
  expect((await json('cache', ...where)).said).toMatchObject({
    folder: join(folder, 'kept'),
    entries: 0,
    bytes: 0,
  })
  const first = await json('measure', 'a.shot.json', ...where)
  const { said } = await json('cache', ...where, '--cache-size', '1G')
  expect(said).toMatchObject({ limit: 2 ** 30 })
  expect(said.entries).toBeGreaterThan(4)
  expect(await json('measure', 'a.shot.json', ...where)).toEqual(first)
  expect(await json('measure', 'a.shot.json', '--no-cache')).toEqual(first)
  expect((await platefit('cache', ...where)).out).toMatch(/kept: \d+\.\d MiB of \d+\.\d MiB in \d+ files\n/)
  // The second look may have kept more: what a file's bytes are is not kept of files that were just written.
  const { bytes } = (await json('cache', ...where)).said
  const cleared = await json('cache', '--clear', ...where)
  expect(bytes).toBeGreaterThan(0)
  expect(cleared).toMatchObject({ code: 0, said: { removed: { bytes }, left: { entries: 0 } } })
  expect((await json('cache', ...where)).said.entries).toBe(0)
})

it('works without one where none can be written, and says so once', async () => {
  await writeFile(join(folder, 'file'), 'a file')
  const { code, out, err } = await platefit('measure', 'a.shot.json', '--json', '--cache', 'file/under')
  expect(code).toBe(0)
  expect(JSON.parse(out).ledger.length).toBeGreaterThan(0)
  expect(err.match(/note: /g)).toHaveLength(1)
  expect(err).toContain('--no-cache')
  expect(await readFile(join(folder, 'file'), 'utf8')).toBe('a file')
})

it('refuses an amount that is none, from the environment too', async () => {
  expect(await platefit('fit', 'a.shot.json', '--cache-size', 'much')).toMatchObject({ code: 2 })
  process.env.PLATEFIT_CACHE_SIZE = 'much'
  const { code, err } = await platefit('measure', 'a.shot.json')
  delete process.env.PLATEFIT_CACHE_SIZE
  expect(code).toBe(2)
  expect(err).toContain('PLATEFIT_CACHE_SIZE')
})
