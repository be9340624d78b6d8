import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { picture } from '../../../test/media/pictures.js'
import {
  createWriter,
  type DeliveryFormat,
  type DeliverySpec,
  deliveryEncoding,
  type WriteOptions,
} from '../index.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-resume-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const plate = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
} as const
const cases: readonly (readonly [DeliveryFormat, string, number])[] = [
  ['prores-422-hq', 'a.mov', 12],
  ['dnxhr-hqx', 'a.mov', 12],
  ['h264-preview', 'a.mp4', 48],
  ['exr-half', 'a.####.exr', 1],
  ['png-16', 'a.####.png', 1],
]

function open(
  path: string,
  format: DeliveryFormat,
  options: WriteOptions = {},
  more: Partial<DeliverySpec> = {},
) {
  const encoding = deliveryEncoding(format, plate)
  const spec = { format, width: 256, height: 128, rate: { num: 24, den: 1 }, encoding, ...more }
  return createWriter(path, spec, options)
}

async function feed(writer: Awaited<ReturnType<typeof open>>, from: number, to: number) {
  for (let i = from; i < to; i++) {
    const kind = (['ramp', 'noise', 'card'] as const)[i % 3]!
    await writer.write(picture(writer.layout, 256, 128, kind, i), { frame: i })
  }
}

async function filesIn(at: string): Promise<Record<string, string>> {
  const names = (await readdir(at)).sort()
  return Object.fromEntries(
    await Promise.all(names.map(async (n) => [n, (await readFile(join(at, n))).toString('base64')])),
  )
}

const hidden = async (at: string) => (await readdir(at)).filter((n) => n.startsWith('.'))

describe.each(cases)('%s', (format, name, part) => {
  const total = 2 * part + 3
  const options = { key: 'one', count: total }

  it('goes on from whole parts, with their notes, to the same bytes', async () => {
    const at = join(folder, `on-${format}`)
    const whole = await open(join(at, 'whole', name), format)
    await feed(whole, 0, total)
    await whole.finish()

    const first = await open(join(at, 'broken', name), format, options)
    expect(first.kept).toEqual([])
    await feed(first, 0, part + 2)
    const kept = await first.keep()
    expect(kept % part).toBe(0)
    expect(kept).toBeGreaterThanOrEqual(part)
    expect((await readdir(join(at, 'broken'))).filter((n) => !n.startsWith('.'))).toEqual([])

    const second = await open(join(at, 'broken', name), format, options)
    expect(second.kept).toEqual(Array.from({ length: kept }, (_, frame) => ({ frame })))
    await feed(second, kept, total)
    await second.finish()
    expect(await filesIn(join(at, 'broken'))).toEqual(await filesIn(join(at, 'whole')))
  })

  it('keeps nothing under another key, when told to start over, or when no part is whole', async () => {
    const at = join(folder, `other-${format}`)
    const begun = async (o: WriteOptions) => {
      const writer = await open(join(at, name), format, o)
      const { length } = writer.kept
      await feed(writer, length, part + 2)
      await writer.keep()
      return length
    }
    expect(await begun(options)).toBe(0)
    expect(await begun({ ...options, key: 'two' })).toBe(0)
    expect(await hidden(at)).toHaveLength(1)
    expect(await begun({ ...options, key: 'two', fresh: true })).toBe(0)
    const again = await open(join(at, name), format, { ...options, key: 'two' })
    expect(again.kept.length).toBeGreaterThanOrEqual(part)
    await again.abort()
    // The folder was made by the first of them.
    expect(await readdir(folder)).not.toContain(`other-${format}`)
    const none = await open(join(at, name), format, options)
    expect(await none.keep()).toBe(0)
    expect(await readdir(folder)).not.toContain(`other-${format}`)
  })

  it('takes no part that is not whole', async () => {
    const at = join(folder, `torn-${format}`)
    const first = await open(join(at, name), format, options)
    await feed(first, 0, 2 * part)
    await first.keep()
    const work = join(at, (await hidden(at))[0]!)
    const parts = (await readdir(work)).filter((n) => /\.(part|exr|png)$/.test(n)).sort()
    const last = join(work, parts.at(-1)!)
    await writeFile(last, (await readFile(last)).subarray(0, -1))
    await writeFile(join(work, 'rubbish.tmp'), 'half')
    const second = await open(join(at, name), format, options)
    expect(second.kept).toHaveLength((parts.length - 1) * part)
    expect(await readdir(work)).not.toContain('rubbish.tmp')
    await second.abort()
  })

  it('refuses a second writer of the same output while the first lives', async () => {
    const at = join(folder, `two-${format}`)
    const first = await open(join(at, name), format, options)
    for (const key of ['one', 'two']) {
      await expect(open(join(at, name), format, { ...options, key })).rejects.toMatchObject({
        detail: { code: 'media.output-busy' },
      })
    }
    await feed(first, 0, 2)
    await first.finish()
    expect(await hidden(at)).toEqual([])
  })
})

it('keeps the last, shorter part of a movie whose end failed to come', async () => {
  const at = join(folder, 'end.mov')
  const options = { key: 'k', count: 14 }
  const first = await open(at, 'prores-422-hq', options)
  await feed(first, 0, 14)
  await first.finish()
  const whole = await readFile(at)
  // What a process leaves that was killed after its last part and before the movie stood.
  const second = await open(at, 'prores-422-hq', options)
  await feed(second, 0, 14)
  await second.keep()
  const third = await open(at, 'prores-422-hq', options)
  expect(third.kept.length).toBe(12)
  await feed(third, 12, 14)
  await third.finish()
  expect((await readFile(at)).equals(whole)).toBe(true)
})

it('lets two write different numbers of one sequence at once', async () => {
  const path = join(folder, 'farm', 'a.####.png')
  const half = (first: number) =>
    open(path, 'png-16', { key: `from ${first}`, count: 3 }, { firstNumber: first })
  const [a, b] = await Promise.all([half(1), half(4)])
  await expect(half(3)).rejects.toMatchObject({ detail: { code: 'media.output-busy' } })
  await Promise.all([feed(a, 0, 3), feed(b, 0, 3)])
  await Promise.all([a.finish(), b.finish()])
  expect(await readdir(join(folder, 'farm'))).toHaveLength(6)
})

it('goes on where files had begun to move to their final names', async () => {
  const at = join(folder, 'moving')
  const path = join(at, 'a.####.png')
  const options = { key: 'k', count: 4 }
  const first = await open(path, 'png-16', options)
  await feed(first, 0, 4)
  await first.keep()
  // As a process leaves it that was killed after its first rename at the end.
  const work = join(at, (await hidden(at))[0]!)
  await writeFile(join(work, 'moving'), '')
  await writeFile(join(at, 'a.0001.png'), await readFile(join(work, 'a.0001.png')))
  await rm(join(work, 'a.0001.png'))
  const second = await open(path, 'png-16', options)
  expect(second.kept).toHaveLength(4)
  await second.finish()
  expect(await readdir(at)).toEqual([1, 2, 3, 4].map((n) => `a.000${n}.png`))
})

it('takes over what a dead process holds, and not what one on another machine does', async () => {
  const at = join(folder, 'dead')
  const path = join(at, 'a.####.png')
  const options = { key: 'k', count: 4 }
  const first = await open(path, 'png-16', options)
  await feed(first, 0, 2)
  await first.keep()
  const note = join(at, (await hidden(at))[0]!, 'holder.json')
  await writeFile(note, JSON.stringify({ pid: process.pid, host: 'elsewhere', begun: '', token: 'x' }))
  await expect(open(path, 'png-16', options)).rejects.toMatchObject({
    detail: { code: 'media.output-busy' },
  })
  // Of this machine, by a number that no process has: beyond the largest of Linux, 2^22.
  const own = await open(join(at, 'b.####.png'), 'png-16')
  const theirs = (await hidden(at)).find((n) => n.includes('b.####'))!
  const { host } = JSON.parse(await readFile(join(at, theirs, 'holder.json'), 'utf8'))
  await own.abort()
  await writeFile(note, JSON.stringify({ pid: 2 ** 22 + 1, host, begun: '', token: 'x' }))
  const second = await open(path, 'png-16', options)
  expect(second.kept).toHaveLength(2)
  await second.abort()
})
