/** Pictures of shots that several pages look at, each at its own size. */
import { mkdtemp, readdir, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { FrameAsk } from '../../src/server/protocol.js'
import { platefit } from '../platefit.js'
import { smallFiles } from '../small.js'
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
