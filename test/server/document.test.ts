/** A shot on the page: dropped, edited, undone; a killed server loses nothing, and the command line sees the same document. */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { createConnection } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { ShotState } from '../../src/server/protocol.js'
import { platefit } from '../platefit.js'
import { smallFiles } from '../small.js'
import { dropped, type Serving, serving } from './serving.js'

let folder: string
let server: Serving
const path = 'plate.shot.json'

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-page-'))
  await smallFiles(folder, 4)
  server = await serving(folder)
  await server.ask('POST', '/api/shot', { plate: 'plate/plate.####.png', elements: ['fire/fire.####.png'] })
  await until((s) => s.job?.state === 'done')
})
afterAll(async () => {
  await server.end()
  await rm(folder, { recursive: true, force: true })
})

const state = async () => (await server.ask('GET', `/api/shot?path=${path}`)).json as ShotState
const fire = (s: ShotState) => s.shot.elements[0]
const move = (x: number) =>
  server.ask('POST', '/api/shot/edit', {
    path,
    edit: { kind: 'place', element: 'fire', position: { x, y: 40 } },
  })
const go = (what: 'undo' | 'redo') => server.ask('POST', `/api/shot/${what}`, { path })

async function until(holds: (s: ShotState) => boolean): Promise<ShotState> {
  for (let i = 0; i < 600; i++) {
    const now = await state()
    if (holds(now)) return now
    await new Promise((done) => setTimeout(done, 100))
  }
  throw new Error(`it never was so: ${JSON.stringify(await state())}`)
}

describe('a new shot', () => {
  it('is fitted and looked at unasked, and stands in the folder', async () => {
    const now = await until((s) => s.plate.faults !== undefined && s.elements[0]?.faults !== undefined)
    expect(now.plate).toMatchObject({ width: 160, height: 96, frames: 4 })
    expect(now.elements[0]).toMatchObject({ id: 'fire', width: 64, height: 48, scale: 1 })
    expect(now.ledger.length).toBeGreaterThan(0)
    expect(fire(now)?.alpha).toBe('on-black')
    expect((await server.ask('GET', '/api/folder')).json).toMatchObject({ shots: [path] })
  })

  it('takes another element, a sequence by its pattern', async () => {
    const added = await server.ask('POST', '/api/shot/element', { path, file: 'fire/fire.####.png' })
    expect((added.json as ShotState).elements.map((e) => e.file)).toEqual(
      Array(2).fill(fire(await state())?.file),
    )
    await until((s) => s.elements[1]?.faults !== undefined)
    const outside = await server.ask('POST', '/api/shot/element', { path, file: '../fire.####.png' })
    expect(outside.status).toBe(403)
    const id = (added.json as ShotState).elements[1]?.id
    await server.ask('POST', '/api/shot/edit', { path, edit: { kind: 'removeElement', element: id } })
  })

  it('takes an outline as a hand draws it on the frame that is shown', async () => {
    const change = (edit: object) => server.ask('POST', '/api/shot/edit', { path, edit })
    const points = [
      [10, 10],
      [40, 12],
      [30, 44.5],
    ]
    await change({ kind: 'addShape', shape: { id: 'post', keys: [{ frame: 0, points }] } })
    const drawn = points.map(([x, y]) => [x! + 5, y! + 1])
    expect((await change({ kind: 'handKey', shape: 'post', number: 2, points: drawn })).status).toBe(200)
    const [shape] = (await state()).shot.shapes
    expect(shape?.keys).toEqual([
      { frame: 0, points },
      { frame: 2, points: drawn },
    ])
    expect((await change({ kind: 'handKey', shape: 'pole', number: 2, points: drawn })).status).toBe(400)
    await change({ kind: 'removeShape', shape: 'post' })
  })

  it('shows its frames, and what stands at a point', async () => {
    const ask = { path, number: 1, width: 80, stops: 0 }
    const plate = await server.ask('POST', '/api/frame', { ...ask, view: 'plate' })
    const result = await server.ask('POST', '/api/frame', { ...ask, view: 'result' })
    expect([plate.headers['x-width'], plate.headers['x-height'], plate.bytes.length]).toEqual([
      '80',
      '48',
      11520,
    ])
    expect(result.bytes.equals(plate.bytes)).toBe(false)
    const values = await server.ask('POST', '/api/values', { path, number: 1, width: 80, x: 80, y: 48 })
    expect(values.json).toMatchObject({
      plate: { hsb: [expect.any(Number), expect.any(Number), expect.any(Number)] },
    })
  })

  it('shows an edit that is not made yet, and does not make it', async () => {
    const ask = { path, number: 1, view: 'result', width: 80, stops: 0 }
    const before = await server.ask('POST', '/api/frame', ask)
    const edit = { kind: 'place', element: 'fire', position: { x: 20, y: 20 } }
    const dragged = await server.ask('POST', '/api/frame', { ...ask, edit })
    expect(dragged.bytes.equals(before.bytes)).toBe(false)
    expect((await server.ask('POST', '/api/frame', ask)).bytes.equals(before.bytes)).toBe(true)
  })
})

describe('edits', () => {
  beforeEach(async () => {
    await move(50)
  })

  it('are in the document at once, and are undone and made again', async () => {
    await move(60)
    expect(JSON.parse(await readFile(join(folder, path), 'utf8')).elements[0].position.x).toBe(60)
    expect(fire((await go('undo')).json as ShotState)?.position.x).toBe(50)
    const again = (await go('redo')).json as ShotState
    expect(fire(again)?.position.x).toBe(60)
    expect(again.canRedo).toBe(false)
    expect((await go('redo')).status).toBe(400)
  })

  it('by the command line are seen, and can be undone', async () => {
    // What the page fits by itself may come in between: it is another edit.
    const blurred = (s: ShotState) => fire(s)?.treatments['lens.blurRadius']
    const set = await platefit(folder, ['set', path, 'fire', 'lens.blurRadius', '2.5'])
    expect(set.code).toBe(0)
    const now = await until((s) => 'value' in (blurred(s) ?? {}))
    expect(blurred(now)).toMatchObject({ value: [2.5] })
    const undone = (await go('undo')).json as ShotState
    expect(undone.revision).not.toBe(now.revision)
    expect(blurred(undone) ?? {}).not.toHaveProperty('value')
  })

  it('of two at once are all made', async () => {
    const all = await Promise.all([
      ...[1, 2, 3].map((n) =>
        server.ask('POST', '/api/shot/edit', { path, edit: { kind: 'camera', field: 'fNumber', value: n } }),
      ),
      platefit(folder, ['set', path, 'fire', 'light.exposure', '0.5']),
      platefit(folder, ['set', path, 'fire', 'lens.blurRadius', '1.5']),
    ])
    expect(all.map((a) => ('status' in a ? a.status : a.code))).toEqual([200, 200, 200, 0, 0])
    await server.ask('POST', '/api/shot/edit', {
      path,
      edit: { kind: 'site', field: 'visibilityM', value: 9000 },
    })
    const now = await state()
    expect(now.shot).toMatchObject({ camera: { fNumber: expect.any(Number) }, site: { visibilityM: 9000 } })
    expect(fire(now)?.treatments).toMatchObject({
      'light.exposure': { value: [0.5] },
      'lens.blurRadius': { value: [1.5] },
    })
  })

  it('that the rules refuse leave the document as it is', async () => {
    const before = await readFile(join(folder, path), 'utf8')
    const edit = { kind: 'place', element: 'fire', heightM: 3 }
    const answer = await server.ask('POST', '/api/shot/edit', { path, edit })
    expect(answer.status).toBe(400)
    expect(answer.json).toMatchObject({ code: expect.stringMatching(/^shot\./) })
    expect(await readFile(join(folder, path), 'utf8')).toBe(before)
  })

  it('of a document that somebody broke wait until it is mended', async () => {
    const whole = await readFile(join(folder, path), 'utf8')
    await writeFile(join(folder, path), whole.slice(0, 100))
    const broken = await until((s) => s.problem !== undefined)
    expect(broken.problem?.code).toBe('shot.not-json')
    expect((await move(70)).status).toBe(400)
    await writeFile(join(folder, path), whole)
    await until((s) => s.problem === undefined)
    expect((await move(70)).status).toBe(200)
  })
})

describe('a server that is killed in the middle of edits', () => {
  it('leaves a whole document; the next one goes on and undoes what was done', async () => {
    await move(31)
    await move(32)
    const stream = (async () => {
      for (let x = 33; x < 1000; x++) await move(x)
    })().catch(() => {})
    await new Promise((done) => setTimeout(done, 150))
    await server.end('SIGKILL')
    await stream
    const left = JSON.parse(await readFile(join(folder, path), 'utf8'))
    const x = left.elements[0].position.x as number
    expect(x).toBeGreaterThan(32)

    server = await serving(folder)
    const now = await state()
    expect(fire(now)?.position.x).toBe(x)
    // The last edit may have been killed between the document and its history: then it is a step of its own now.
    let back = now
    for (let i = 0; i < 1000 && fire(back)?.position.x !== 32; i++)
      back = (await go('undo')).json as ShotState
    expect(fire(back)?.position.x).toBe(32)
    expect(fire((await go('undo')).json as ShotState)?.position.x).toBe(31)
    await move(50)
    expect((await readdir(folder)).filter((f) => f.endsWith('.partial'))).toEqual([])
  })
})

describe('dropped files', () => {
  const put = (name: string, bytes: Buffer) => server.ask('PUT', '/api/files', dropped([name, bytes]))

  it('come into the folder, never over another one, and not twice', async () => {
    const one = Buffer.from('one')
    expect((await put('drop/a b.mov', one)).json).toEqual({ path: 'drop/a b.mov' })
    expect((await put('drop/a b.mov', one)).json).toEqual({ path: 'drop/a b.mov' })
    expect((await put('drop/a b.mov', Buffer.from('two'))).json).toEqual({ path: 'drop/a b-2.mov' })
    expect(await readFile(join(folder, 'drop/a b.mov'), 'utf8')).toBe('one')
    expect((await readdir(join(folder, 'drop'))).sort()).toEqual(['a b-2.mov', 'a b.mov'])
  })

  it('that break off leave nothing', async () => {
    const socket = createConnection(server.port, '127.0.0.1')
    const head = `PUT /api/files HTTP/1.1\r\nHost: 127.0.0.1:${server.port}\r\nCookie: ${server.cookie}\r\n`
    socket.write(
      `${head}Content-Type: application/octet-stream\r\nContent-Length: 1000000\r\n\r\n[{"name":"half.mov","bytes":900000}]\n${'x'.repeat(5000)}`,
    )
    const partial = async () => (await readdir(folder)).filter((f) => f.endsWith('.partial'))
    await expect.poll(partial).toHaveLength(1)
    socket.destroy()
    await expect.poll(partial).toEqual([])
    expect(await readdir(folder)).not.toContain('half.mov')
  })
})
