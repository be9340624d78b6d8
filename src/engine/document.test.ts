import { spawn } from 'node:child_process'
import { mkdir, mkdtemp, readdir, readFile, rm, symlink, utimes, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { parseShot, setTreatment } from '../shot/index.js'
import { editShot, loadShot, saveShot } from './document.js'

const built = fileURLToPath(new URL('../../dist/engine/document.js', import.meta.url))

let folder: string
let path: string

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-document-'))
  path = join(folder, 'a.shot.json')
})
afterEach(() => rm(folder, { recursive: true, force: true }))

const first = parseShot({ platefit: 1, plate: { file: 'p.mov' } }, 'test')

/** Another process that puts marks `name-0`, `name-1`, … into the document, one edit each. */
function marker(name: string, edits: number, holdMs = 0) {
  const script = `
    const { editShot } = await import(${JSON.stringify(built)})
    for (let i = 0; i < ${edits}; i++) {
      await editShot(${JSON.stringify(path)}, async (s) => {
        process.stdout.write('.')
        await new Promise((r) => setTimeout(r, ${holdMs}))
        return { ...s, meant: [...s.meant, { tell: '${name}-' + i, measured: i }] }
      })
    }`
  return spawn(process.execPath, ['--input-type=module', '-e', script], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
}

const ended = (child: ReturnType<typeof spawn>) =>
  new Promise<number | null>((done) => child.on('exit', (code) => done(code)))
const spoke = (child: ReturnType<typeof spawn>) => new Promise((done) => child.stdout?.once('data', done))

describe('shot documents on disk', () => {
  it('come back as they were saved', async () => {
    await saveShot(path, first)
    const doc = await loadShot(path)
    expect(doc.shot).toEqual(first)
    expect(doc.folder).toBe(folder)
    expect(doc.revision).toMatch(/^[0-9a-f]{64}$/)
    expect(await readdir(folder)).toEqual(['a.shot.json'])
  })

  it('are not written over by a new one', async () => {
    await saveShot(path, first)
    await expect(saveShot(path, first)).rejects.toMatchObject({ code: 'engine.document-exists', exit: 2 })
  })

  it('say what is wrong with the place', async () => {
    await expect(loadShot(path)).rejects.toMatchObject({ code: 'engine.document-missing', exit: 2 })
    await expect(loadShot(folder)).rejects.toMatchObject({ code: 'engine.document-unreadable', exit: 2 })
    const under = join(folder, 'nowhere', 'a.shot.json')
    await expect(saveShot(under, first)).rejects.toMatchObject({
      code: 'engine.document-unwritable',
      exit: 2,
    })
  })

  it('stay untouched when an edit fails or makes nonsense', async () => {
    await saveShot(path, first)
    const before = await readFile(path, 'utf8')
    await expect(editShot(path, () => Promise.reject(new Error('no')))).rejects.toThrow('no')
    await expect(editShot(path, (s) => ({ ...s, plate: { ...s.plate, file: '' } }))).rejects.toMatchObject({
      code: 'shot.wrong-value',
    })
    expect(await readFile(path, 'utf8')).toBe(before)
    expect(await readdir(folder)).toEqual(['a.shot.json'])
  })

  it('are edited through a symbolic link without replacing it', async () => {
    await saveShot(path, first)
    const link = join(folder, 'link.shot.json')
    await symlink(path, link)
    await editShot(link, (s) => setTreatment(s, 'plate', 'sensor.grainMix', [0, 0, 0]))
    expect((await loadShot(path)).shot.plate.treatments['sensor.grainMix']).toBeDefined()
  })

  it('lose no edit of two processes and this one', async () => {
    await saveShot(path, first)
    const others = [marker('one', 50), marker('two', 50)].map(ended)
    for (let i = 0; i < 10; i++) {
      await editShot(path, (s) => ({ ...s, meant: [...s.meant, { tell: `here-${i}`, measured: i }] }))
    }
    expect(await Promise.all(others)).toEqual([0, 0])
    const names = new Set((await loadShot(path)).shot.meant.map((m) => m.tell))
    expect(names.size).toBe(110)
    expect(await readdir(folder)).toEqual(['a.shot.json'])
  })

  it('survive a process killed in the middle of an edit; its lock is taken over', async () => {
    await saveShot(path, first)
    const victim = marker('victim', 1, 60_000)
    await spoke(victim)
    const gone = ended(victim)
    victim.kill('SIGKILL')
    await gone
    expect((await loadShot(path)).shot).toEqual(first)
    expect(await readdir(folder)).toContain('a.shot.json.lock')
    await writeFile(join(folder, '.a.shot.json.dead.partial'), 'half a docu')
    const began = Date.now()
    await editShot(path, (s) => ({ ...s, meant: [{ tell: 'after', measured: 1 }] }))
    expect(Date.now() - began).toBeLessThan(20_000)
    expect((await loadShot(path)).shot.meant).toHaveLength(1)
    expect(await readdir(folder)).toEqual(['a.shot.json'])
  })

  it('survive killing at any moment', async () => {
    await saveShot(path, first)
    for (let i = 0; i < 4; i++) {
      const victim = marker(`v${i}`, 1000)
      await spoke(victim)
      const gone = ended(victim)
      await new Promise((done) => setTimeout(done, 37 * i))
      victim.kill('SIGKILL')
      await gone
      await loadShot(path)
      // The lock's owner is dead: let it look as old as it will be in a while.
      const lock = join(folder, 'a.shot.json.lock')
      await mkdir(lock).catch(() => {})
      await utimes(lock, new Date(0), new Date(0))
    }
    await editShot(path, (s) => s)
    expect((await readdir(folder)).filter((f) => f !== 'a.shot.json')).toEqual([])
  })
})
