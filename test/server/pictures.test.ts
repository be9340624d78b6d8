/** Pictures of shots that several pages look at, each at its own size. */
import { mkdtemp, readdir, readlink, rm } from 'node:fs/promises'
import { request } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { FrameAsk, ShotState } from '../../src/server/protocol.js'
import { platefit } from '../platefit.js'
import { pictures, smallFiles, smallMovie } from '../small.js'
import { type Serving, serving } from './serving.js'

let folder: string
let server: Serving
const path = 'one.shot.json'

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-pictures-'))
  await smallFiles(folder, 4)
  const made = await platefit(folder, [
    'new',
    ...['--plate', 'plate/plate.####.png', '--element', 'fire/fire.####.png', '--out', path],
  ])
  expect(made.code).toBe(0)
  server = await serving(folder)
})
afterAll(async () => {
  await server.end()
  await rm(folder, { recursive: true, force: true })
})

const picture = (ask: Partial<FrameAsk>) =>
  server.ask('POST', '/api/frame', { path, number: 0, view: 'result', width: 80, ...ask })

/** Files that the server has open. */
const open = async () => (await readdir(`/proc/${server.child.pid}/fd`)).length

it('come to two pages of different size that ask at once', async () => {
  const pages = [
    { page: 'a', width: 80 },
    { page: 'b', width: 60 },
  ]
  const round = (number: number) => Promise.all(pages.map((p) => picture({ ...p, number })))
  for (let n = 0; n < 40; n++) {
    const answers = await round(n % 4)
    expect(answers.map((a) => [a.status, a.headers['x-width']])).toEqual([
      [200, '80'],
      [200, '60'],
    ])
  }
}, 30_000)

it.runIf(process.platform === 'linux')(
  'leave no file open for each size that is asked',
  async () => {
    await picture({})
    const before = await open()
    for (let n = 0; n < 20; n++) {
      await Promise.all([picture({ page: 'a', width: 40 + n }), picture({ page: 'b', width: 90 + n })])
    }
    expect(await open()).toBeLessThanOrEqual(before + 4)
  },
  30_000,
)

it('give way to a later ask of the same page, not to one of another', async () => {
  const [b, ...a] = await Promise.all([
    picture({ page: 'b', number: 3 }),
    ...[0, 1, 2].map((number) => picture({ page: 'a', number })),
  ])
  expect(b?.status).toBe(200)
  expect(a.some((one) => one.status === 200)).toBe(true)
})

describe.runIf(process.platform === 'linux')('files of a shot', () => {
  const movies = ['first', 'second']
  beforeAll(async () => {
    for (const name of movies) {
      await smallMovie(join(folder, `${name}.mov`), 9)
      const made = await platefit(folder, [
        'new',
        ...['--plate', `${name}.mov`, '--element', 'fire/fire.####.png', '--out', `${name}.shot.json`],
      ])
      expect(made.code).toBe(0)
    }
  })

  /** Movies that the server has open. */
  const opened = async () => {
    const own = `/proc/${server.child.pid}/fd`
    const links = await Promise.all((await readdir(own)).map((fd) => readlink(join(own, fd)).catch(() => '')))
    return movies.filter((name) => links.some((l) => l.endsWith(`/${name}.mov`)))
  }
  let number = 0
  /** At another frame each time: one that is kept needs no file. */
  const look = async (name: string) => {
    expect((await picture({ path: `${name}.shot.json`, number: number++ })).status).toBe(200)
    await new Promise((done) => setTimeout(done, 100))
  }

  it('are closed when another is looked at and nobody listens to it', async () => {
    await look('first')
    expect(await opened()).toEqual(['first'])
    await look('second')
    expect(await opened()).toEqual(['second'])
    await look('first')
    expect(await opened()).toEqual(['first'])
  })

  it('stay open as long as a page listens to it', async () => {
    const leave = await listen('first')
    await look('first')
    await look('second')
    expect(await opened()).toEqual(movies)
    await leave()
    await look('second')
    expect(await opened()).toEqual(['second'])
  })
})

describe('an element that is made anew under its old names', () => {
  const state = async () => (await server.ask('GET', `/api/shot?path=${path}`)).json as ShotState
  const anew = (light: number) =>
    pictures(join(folder, 'fire/fire.####.png'), 64, 48, 4, (x, y) => {
      const v = Math.max(0, 1 - Math.hypot((x - 32) / 20, (y - 24) / 16))
      return [0.2 * v, light * v, 0.5 * v]
    })
  async function until<T>(ask: () => Promise<T | undefined>): Promise<T> {
    for (let i = 0; i < 300; i++) {
      const found = await ask()
      if (found !== undefined) return found
      await new Promise((done) => setTimeout(done, 100))
    }
    throw new Error('it never was so')
  }

  it('is seen as soon as its folder is quiet, though nobody asks', async () => {
    await state()
    const before = await picture({})
    expect(before.status).toBe(200)
    await anew(0.9)
    const now = await until(async () => {
      const one = await picture({})
      return one.status !== 200 || one.bytes.equals(before.bytes) ? undefined : one
    })
    expect(now.bytes.equals((await picture({ view: 'plate' })).bytes)).toBe(false)
  }, 30_000)

  it('is told apart in the state, and looked at again for faults', async () => {
    const faults = (s: ShotState) => s.elements[0]?.faults
    const before = await until(async () => {
      const now = await state()
      return faults(now) === undefined ? undefined : now
    })
    await anew(0.4)
    const now = await state()
    expect(now.files).not.toBe(before.files)
    expect(now.revision).toBe(before.revision)
    expect(faults(now)).toBeUndefined()
    await until(async () => faults(await state()))
    expect((await state()).files).toBe(now.files)
  }, 60_000)

  it('has no check that stands, and an older render', async () => {
    const job = async (ask: object) => {
      await server.ask('POST', '/api/job', { path, ...ask })
      return until(async () => {
        const now = await state()
        return now.job?.state === 'done' ? now : undefined
      })
    }
    const { job: made } = await job({ kind: 'render', format: 'h264-preview' })
    expect((await job({ kind: 'check', rendered: made?.out })).check?.stands).toBe(true)
    await anew(0.7)
    expect((await state()).check).toMatchObject({ stands: false, older: true })
  }, 60_000)
})

/** @returns leaves */
function listen(name: string): Promise<() => Promise<void>> {
  return new Promise((resolve, reject) => {
    const asked = request(
      {
        ...{ host: '127.0.0.1', port: server.port, path: `/api/events?path=${name}.shot.json` },
        headers: { cookie: server.cookie },
      },
      (answer) => {
        answer.on('error', () => {})
        resolve(async () => {
          asked.destroy()
          await new Promise((done) => setTimeout(done, 100))
        })
      },
    )
    asked.on('error', reject)
    asked.end()
  })
}
