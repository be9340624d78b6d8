/** Times and keys off a file's index, against those of the library's packets. */
import { existsSync } from 'node:fs'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { cutFile, type Movie, makeMovie, noise } from '../../../test/media/fixture.js'
import { openContainer } from './container.js'
import { openSource } from './open.js'
import { sampleTable } from './sampleTable.js'
import { type Scan, scan } from './scan.js'

const here = dirname(fileURLToPath(import.meta.url))
const footage = process.env.PLATEFIT_FOOTAGE ?? join(here, '../../../../shared/footage')
const there = existsSync(footage)
if (!there) console.log(`sample table of real footage skipped: ${footage} is absent`)

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-table-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function both(path: string): Promise<{ table: Scan | undefined; read: Scan }> {
  const container = await openContainer(path)
  try {
    return { table: await sampleTable(path, container.stream), read: await scan(container) }
  } finally {
    await container.format.closeInput()
  }
}

const pictures = (count: number) =>
  Array.from({ length: count }, (_, i) => noise('yuv420p', 64, 48, 8, i % 5))
const x264: Omit<Movie, 'frames'> = {
  encoder: 'libx264',
  format: 'yuv420p',
  width: 64,
  height: 48,
  options: { preset: 'medium', crf: 30, g: 12, bf: 3 },
}

function same({ table, read }: { table: Scan | undefined; read: Scan }): void {
  expect(table).toBeDefined()
  expect(Array.from(table?.pts ?? [])).toEqual(Array.from(read.pts))
  expect(table).toMatchObject({ count: read.count, packets: read.packets, tick: read.tick })
  expect(table?.lastStep).toBeCloseTo(read.lastStep, 12)
  expect(table?.keys.map((k) => k.pts)).toEqual(read.keys.map((k) => k.pts))
}

describe('what the index says is what the packets say', () => {
  it.each(['mp4', 'mov'])('of pictures that come out of order, %s', async (kind) => {
    const path = join(folder, `order.${kind}`)
    await makeMovie(path, { ...x264, frames: pictures(40) })
    same(await both(path))
  })

  it('of a variable rate', async () => {
    const path = join(folder, 'uneven.mp4')
    const times = [0, 10, 20, 31, 40, 55, 60, 75, 80, 92]
    await makeMovie(path, { ...x264, frames: pictures(10), times, tick: [1, 240] })
    same(await both(path))
  })

  it('of pictures that each stand alone', async () => {
    const path = join(folder, 'alone.mov')
    await makeMovie(path, { ...x264, encoder: 'mjpeg', format: 'yuvj420p', options: {}, frames: pictures(6) })
    same(await both(path))
    const source = await openSource(path)
    expect(source.reach(5)).toBe(1)
    await source.close()
  })

  it('of real footage, where no edit cuts it', { skip: !there }, async () => {
    const plain = ['plates/bedroom-handheld-720p.mp4', 'plates/rooftop-pq.mp4', 'green/wall-320x192.mp4']
    for (const name of plain) same(await both(join(footage, name)))
    // An edit list that leaves frames out: read packet by packet.
    expect((await both(join(footage, 'plates/rooftop-hlg-rotated.mp4'))).table).toBeUndefined()
  })
})

it('leaves fragments, other containers and cut files to the library', async () => {
  const fragments = join(folder, 'fragments.mp4')
  await makeMovie(fragments, {
    ...x264,
    frames: pictures(24),
    muxer: { movflags: 'frag_keyframe+empty_moov' },
  })
  expect((await both(fragments)).table).toBeUndefined()
  const other = join(folder, 'other.mkv')
  await makeMovie(other, { ...x264, frames: pictures(12) })
  expect((await both(other)).table).toBeUndefined()
  const whole = join(folder, 'whole.mp4')
  await makeMovie(whole, { ...x264, frames: pictures(24), muxer: { movflags: 'faststart' } })
  const cut = join(folder, 'cut.mp4')
  await cutFile(whole, cut, 0.8)
  expect((await both(cut)).table).toBeUndefined()
})

it('starts at the key of a frame, and gives what reading from the start gives', async () => {
  const path = join(folder, 'keys.mp4')
  await makeMovie(path, { ...x264, frames: pictures(40), options: { ...x264.options, sc_threshold: 0 } })
  const source = await openSource(path)
  const all: Buffer[] = []
  for await (const f of source.frames()) all.push(Buffer.from(f.planes[0]?.data ?? []))
  // A key every 12: frame 26 lies two after the third.
  expect([0, 5, 12, 26, 39].map((n) => source.reach(n))).toEqual([1, 6, 1, 3, 4])
  for (const n of [26, 12, 39, 5])
    for await (const f of source.frames(n, 1))
      expect(Buffer.from(f.planes[0]?.data ?? []).equals(all[n] as Buffer), `frame ${n}`).toBe(true)
  await source.close()
})
