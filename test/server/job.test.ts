/** Jobs of the page: render, check, report, cancel; none outlives the server. */
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { JobState, ShotState } from '../../src/server/protocol.js'
import { smallFiles } from '../small.js'
import { type Serving, serving } from './serving.js'

let folder: string
let server: Serving
const path = 'plate.shot.json'

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-jobs-'))
  await smallFiles(folder, 6)
  server = await serving(folder)
  await server.ask('POST', '/api/shot', { plate: 'plate/plate.####.png', elements: ['fire/fire.####.png'] })
  await settled()
})
afterAll(async () => {
  await server.end()
  await rm(folder, { recursive: true, force: true })
})

const state = async () => (await server.ask('GET', `/api/shot?path=${path}`)).json as ShotState
const start = (ask: object) => server.ask('POST', '/api/job', { path, ...ask })

async function settled(): Promise<ShotState> {
  for (let i = 0; i < 900; i++) {
    const now = await state()
    if (now.job !== undefined && !['running', 'stopping'].includes(now.job.state)) return now
    await new Promise((done) => setTimeout(done, 100))
  }
  throw new Error('the job does not end')
}

/** Job processes by their ids, of one server or of any: a process whose parent dies gets another one. */
async function jobs(parent?: number): Promise<string[]> {
  const found: string[] = []
  for (const id of (await readdir('/proc')).filter((p) => /^\d+$/.test(p))) {
    const [line, status] = await Promise.all(
      ['cmdline', 'stat'].map((f) => readFile(join('/proc', id, f), 'utf8').catch(() => '')),
    )
    const of = Number(status?.slice(status.lastIndexOf(')') + 2).split(' ')[1])
    if (line?.includes('server/job/child.js') && (parent === undefined || of === parent)) found.push(id)
  }
  return found
}

it('renders under a name that nobody has, checks it and writes the report', async () => {
  const first = (await start({ kind: 'render', format: 'prores-422-hq' })).json as JobState
  expect(first).toMatchObject({ kind: 'render', state: 'running', out: 'plate-v001.mov' })
  expect((await start({ kind: 'fit' })).json).toMatchObject({ code: 'server.busy' })
  expect((await settled()).job).toMatchObject({ state: 'done' })
  await start({ kind: 'render', format: 'exr-half' })
  const both = await settled()
  expect(both.made.map((m) => m.path)).toEqual(['plate-v002/plate-v002.####.exr', 'plate-v001.mov'])

  await start({ kind: 'report', rendered: 'plate-v001.mov' })
  const told = await settled()
  expect(told.job).toMatchObject({ state: 'done', out: 'plate-v001.html' })
  expect(told.check).toMatchObject({ rendered: 'plate-v001.mov', stands: true, tells: expect.any(Array) })
  const page = await server.ask('GET', '/files/plate-v001.html')
  expect(page.bytes.toString()).toContain('<html')

  const [tell] = told.check?.tells ?? []
  if (tell !== undefined) {
    const crop = await server.ask('GET', `/api/crop?path=${path}&tell=0&role=result`)
    expect(crop.headers['content-type']).toBe('image/png')
    const mark = { kind: 'meant', tell: tell.tell, element: tell.element, measured: tell.measured }
    const meant = (await server.ask('POST', '/api/shot/edit', { path, edit: mark })).json as ShotState
    expect(meant.check).toMatchObject({ stands: true })
    expect(meant.check?.tells.find((t) => t.tell === tell.tell)?.meant).toBe(true)
  }
  const edit = { kind: 'place', element: 'fire', position: { x: 40, y: 40 } }
  const moved = (await server.ask('POST', '/api/shot/edit', { path, edit })).json as ShotState
  expect(moved.check).toMatchObject({ stands: false, older: true })
})

it('says of a render that it is older than the document, though it is checked anew', async () => {
  expect((await state()).made.map((m) => m.older)).toEqual([true, undefined, true])
  await start({ kind: 'check', rendered: 'plate-v001.mov' })
  expect((await settled()).check).toMatchObject({ rendered: 'plate-v001.mov', stands: false, older: true })
  const back = (await server.ask('POST', '/api/shot/undo', { path })).json as ShotState
  expect(back.made.map((m) => m.older)).toEqual([false, undefined, false])
  expect(back.check).toMatchObject({ older: false, stands: false })
})

it('stops a render that is cancelled, and leaves nothing under its name', async () => {
  const { out = '' } = (await start({ kind: 'render', format: 'prores-4444' })).json as JobState
  expect((await server.ask('DELETE', `/api/job?path=${path}`)).json).toMatchObject({ state: 'stopping' })
  expect((await settled()).job?.state).toBe('cancelled')
  expect(await readdir(folder)).not.toContain(out)
})

it('says why a job failed', async () => {
  await start({ kind: 'check', rendered: 'plate-v002/plate-v002.####.exr' })
  expect((await settled()).job).toMatchObject({ state: 'done' })
  await start({ kind: 'check', rendered: 'fire/fire.####.png' })
  expect((await settled()).job).toMatchObject({ state: 'failed', problem: { code: expect.any(String) } })
})

it('ends in peace when it is interrupted, in the middle of a job too', async () => {
  await start({ kind: 'render', format: 'prores-422-hq' })
  expect(await server.end()).toBe(0)
  server = await serving(folder)
})

it.runIf(process.platform === 'linux')(
  'leaves no process behind when the server is killed in the middle of a job',
  async () => {
    await start({ kind: 'render', format: 'prores-422-hq' })
    const own = await jobs(server.child.pid)
    expect(own.length).toBe(1)
    await server.end('SIGKILL')
    const left = async () => (await jobs()).filter((id) => own.includes(id))
    for (let i = 0; i < 100 && (await left()).length > 0; i++)
      await new Promise((done) => setTimeout(done, 50))
    expect(await left()).toEqual([])
    server = await serving(folder)
  },
)
