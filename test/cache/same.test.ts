/** With the cache off, cold and warm the same documents, ledgers and tells come out, to the bit. */
import { mkdtemp, readdir, rm, utimes, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openCache } from '../../src/engine/cache/index.js'
import { held } from '../../src/engine/cache/room.js'
import { checkShot } from '../../src/engine/check.js'
import { fitShot } from '../../src/engine/fit.js'
import { measureShot } from '../../src/engine/measure.js'
import { renderShot } from '../../src/engine/render.js'
import { suitElements } from '../../src/engine/suit/suit.js'
import type { Job } from '../../src/engine/types.js'
import { parseShot, type Shot, shotText } from '../../src/shot/index.js'
import { pictures, smallFiles } from '../small.js'

let folder = ''
let shot: Shot
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-same-'))
  await smallFiles(folder, 8)
  await pictures(join(folder, 'matte', 'm.####.png'), 160, 96, 2, (x) => [x < 60 ? 1 : 0, 0, 0])
  await atRest('plate', 'fire', 'matte')
  shot = parseShot(
    {
      platefit: 1,
      plate: { file: 'plate' },
      site: { greyCard: { x: 10, y: 10, width: 40, height: 30 } },
      elements: [
        {
          id: 'fire',
          file: 'fire',
          alpha: 'on-black',
          nature: 'emits',
          position: { x: 80, y: 48 },
          scale: 1,
        },
        {
          id: 'smoke',
          file: 'fire',
          alpha: 'on-black',
          nature: { emits: 0.5, reflects: 0.5 },
          position: { x: 50, y: 40 },
          scale: 1.2,
          compareWith: { frame: 2, x: 90, y: 20, width: 40, height: 40 },
          holdout: { file: 'matte' },
        },
      ],
    },
    'a.shot.json',
  )
  await writeFile(join(folder, 'a.shot.json'), shotText(shot))
})
/** Files that were written long ago, as those of a person are: what they hold is remembered. */
async function atRest(...names: readonly string[]): Promise<void> {
  for (const name of names)
    for (const file of await readdir(join(folder, name))) await utimes(join(folder, name, file), 1e9, 1e9)
}
afterAll(() => rm(folder, { recursive: true, force: true }))

/** What `work` gives without a cache; with one, cold and then warm, it gives the same and keeps nothing new. */
async function same<T>(work: (job: Job) => Promise<T>): Promise<T> {
  const at = await mkdtemp(join(folder, 'cache-'))
  const results: T[] = [await work({})]
  const entries: number[] = []
  for (let turn = 0; turn < 2; turn++) {
    const cache = openCache({ folder: at })
    results.push(await work({ cache }))
    await cache.settle()
    expect(cache.finding).toBeUndefined()
    entries.push((await held(at)).entries)
  }
  expect(results[1]).toStrictEqual(results[0])
  expect(results[2]).toStrictEqual(results[0])
  expect(entries[0]).toBeGreaterThan(0)
  expect(entries[1]).toBe(entries[0])
  return results[0] as T
}

it('fit and measure', async () => {
  const text = await same(async (job) => shotText((await fitShot(shot, folder, job)).shot))
  expect(text).toContain('sensor.grainVariance')
  await same((job) => measureShot(shot, folder, job))
})

it('check, of the same file again and of another render under its name', async () => {
  const { shot: fitted } = await fitShot(shot, folder)
  const out = join(folder, 'fx', 'fx.####.png')
  const render = async (of: Shot) => {
    await renderShot(of, folder, { out, format: 'png-16' })
    await atRest('fx')
  }
  await render(fitted)
  await same((job) => checkShot(fitted, folder, out, job))
  const cache = openCache({ folder: join(folder, 'kept') })
  const first = await checkShot(fitted, folder, out, { cache })
  await cache.settle()
  // The same sizes, and the same times; but another plate shows in it.
  await pictures(join(folder, 'other', 'p.####.png'), 160, 96, 8, (x, y, f) => {
    const v = 0.3 + (0.5 * y) / 96 + 0.01 * ((x * 13 + y * 7 + f * 5) % 3)
    return [v, v, 0.5 * v]
  })
  await render({ ...fitted, plate: { ...fitted.plate, file: 'other' } })
  const second = await checkShot(fitted, folder, out, { cache })
  expect(second).toStrictEqual(await checkShot(fitted, folder, out))
  expect(second.tells).not.toEqual(first.tells)
  // What is meant is the document's, and no reason to look again.
  const [tell] = second.tells
  if (tell === undefined) throw new Error('another plate gives nothing away')
  await cache.settle()
  const entries = (await held(cache.folder)).entries
  const meant = [{ tell: tell.tell, measured: tell.measured, ...(tell.element && { element: tell.element }) }]
  const third = await checkShot({ ...fitted, meant }, folder, out, { cache })
  await cache.settle()
  expect((await held(cache.folder)).entries).toBe(entries)
  expect(third.tells.filter((t) => t.meant)).toHaveLength(1)
})

it('suit, and for another place without a new look', async () => {
  const ask = {
    plate: join(folder, 'plate'),
    elements: [join(folder, 'fire')],
    known: { nature: 'emits' } as const,
  }
  const seen = async (job: Job) => ({ ...(await suitElements(ask, job)), seconds: 0 })
  await same(seen)
  const two = { ...ask, elements: [join(folder, 'fire'), join(folder, 'matte')] }
  await same(async (job) => ({ ...(await suitElements(two, { ...job, workers: 2 })), seconds: 0 }))
  // Where it is to stand has nothing to do with what it is.
  const cache = openCache({ folder: join(folder, 'looks') })
  const at = (x: number) =>
    suitElements({ ...ask, known: { ...ask.known, at: { x, y: 40 }, scale: 1 } }, { cache })
  await at(60)
  await cache.settle()
  const { entries } = await held(cache.folder)
  await at(90)
  await cache.settle()
  expect((await held(cache.folder)).entries).toBe(entries)
})
