import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { lock } from 'proper-lockfile'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { Shot } from '../shot/index.js'
import { LiveDocument } from './document.js'

let folder: string
let path: string
let document: LiveDocument

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-document-'))
  vi.stubEnv('PLATEFIT_STATE', join(folder, 'state'))
  path = join(folder, 'a.shot.json')
  await writeFile(path, JSON.stringify({ platefit: 1, plate: { file: 'p.mov' }, elements: [], meant: [] }))
  document = await LiveDocument.open(path, () => {})
})
afterEach(async () => {
  await document.close()
  vi.unstubAllEnvs()
  await rm(folder, { recursive: true, force: true })
})

const stop = (value: number) => document.edit({ kind: 'camera', field: 'fNumber', value })
const onDisk = async () => JSON.parse(await readFile(path, 'utf8')) as Shot

/** What the command line does meanwhile: it holds the lock, and `work` waits for it. */
async function edited(change: object, work: () => Promise<void>): Promise<void> {
  const release = await lock(path, { realpath: false })
  const waiting = work()
  await new Promise((done) => setTimeout(done, 100))
  await writeFile(path, JSON.stringify({ ...(await onDisk()), ...change }))
  await release()
  await waiting
}

describe('an edit from elsewhere that comes while one waits for its turn', () => {
  const site = { visibilityM: 42 }

  it('is what is undone, and can be made again', async () => {
    await stop(2)
    await edited({ site }, () => document.go(-1))
    expect(await onDisk()).toMatchObject({ camera: { fNumber: 2 } })
    expect((await onDisk()).site.visibilityM).toBeUndefined()
    await document.go(1)
    expect(await onDisk()).toMatchObject({ camera: { fNumber: 2 }, site })
  })

  it('stays when the one that waited is undone', async () => {
    await edited({ site }, () => stop(2))
    await document.go(-1)
    expect((await onDisk()).camera.fNumber).toBeUndefined()
    expect(await onDisk()).toMatchObject({ site })
  })
})

describe('a state folder that cannot be made', () => {
  const states: [string, () => string][] = [['below a file', () => join(path, 'state')]]
  if (process.platform === 'linux') states.push(['where no folders can be', () => '/proc/nope/state'])
  it.each(states)('%s hinders no edit; undo lasts as long as the server', async (_, state) => {
    vi.stubEnv('PLATEFIT_STATE', state())
    let told = 0
    const other = await LiveDocument.open(path, () => told++)
    await other.edit({ kind: 'camera', field: 'fNumber', value: 4 })
    expect(other.notKept).toMatchObject({
      code: 'server.undo-not-kept',
      where: expect.stringContaining('state'),
    })
    expect([(await onDisk()).camera.fNumber, told > 0]).toEqual([4, true])
    await other.go(-1)
    expect((await onDisk()).camera.fNumber).toBeUndefined()
    await other.close()
  })
})
