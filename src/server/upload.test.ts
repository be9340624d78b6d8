import { mkdir, mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Readable } from 'node:stream'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Room } from './room.js'
import { receive, sweep } from './upload.js'

let folder: string
let room: Room

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-upload-'))
  room = await Room.open(folder)
})
afterEach(() => rm(folder, { recursive: true, force: true }))

/** In chunks of so many bytes, as a connection may cut them. */
function drop(files: Readonly<Record<string, string>>, size = 7): Promise<string> {
  const head = Object.entries(files).map(([name, text]) => ({ name, bytes: Buffer.byteLength(text) }))
  const bytes = Buffer.from(`${JSON.stringify(head)}\n${Object.values(files).join('')}`)
  const chunks = Array.from({ length: Math.ceil(bytes.length / size) }, (_, i) =>
    bytes.subarray(i * size, (i + 1) * size),
  )
  return receive(room, Readable.from(chunks, { objectMode: false }))
}
const soot = (text: string, first: number, last: number) =>
  Object.fromEntries(
    Array.from({ length: last - first + 1 }, (_, i) => {
      const n = String(first + i).padStart(4, '0')
      return [`soot/soot.${n}.png`, `${text}${n}`]
    }),
  )
const files = async () =>
  (await readdir(folder, { recursive: true, withFileTypes: true })).filter((f) => f.isFile())

describe('dropped files', () => {
  it.each([1, 7, 64, 10_000])('arrive whole in chunks of %i bytes', async (size) => {
    expect(
      await drop({ 'soot/a.0001.png': 'één\n', 'soot/a.0002.png': '', 'soot/a.0003.png': 'three' }, size),
    ).toBe('soot/a.####.png')
    const read = await Promise.all([1, 2, 3].map((n) => readFile(join(folder, `soot/a.000${n}.png`), 'utf8')))
    expect(read).toEqual(['één\n', '', 'three'])
    expect((await files()).length).toBe(3)
  })

  it('of a sequence settle as one: no other sequence is mixed with them', async () => {
    expect(await drop(soot('old', 0, 2))).toBe('soot/soot.####.png')
    expect(await drop(soot('new', 0, 9))).toBe('soot-2/soot.####.png')
    expect((await readdir(join(folder, 'soot'))).sort()).toEqual([0, 1, 2].map((n) => `soot.000${n}.png`))
    expect((await readdir(join(folder, 'soot-2'))).length).toBe(10)
    expect(await readFile(join(folder, 'soot/soot.0002.png'), 'utf8')).toBe('old0002')
    // Neither are pictures that would only make it longer.
    expect(await drop(soot('old', 3, 5))).toBe('soot-3/soot.####.png')
  })

  it('that are there already are taken as they are', async () => {
    await drop(soot('old', 0, 2))
    await drop(soot('new', 0, 9))
    expect(await drop(soot('old', 0, 2))).toBe('soot/soot.####.png')
    expect(await drop(soot('new', 0, 9))).toBe('soot-2/soot.####.png')
    expect((await files()).length).toBe(13)
  })

  it('come into a folder beside what is no picture of theirs', async () => {
    await mkdir(join(folder, 'soot'))
    await writeFile(join(folder, 'soot', 'notes.txt'), '')
    await writeFile(join(folder, 'soot', 'soot_mask.0000.png'), '')
    expect(await drop(soot('one', 0, 2))).toBe('soot/soot.####.png')
  })

  it('of two drops at once settle one after the other', async () => {
    const both = await Promise.all([drop(soot('one', 0, 9)), drop(soot('two', 0, 9))])
    expect(both.sort()).toEqual(['soot-2/soot.####.png', 'soot/soot.####.png'])
    for (const at of ['soot', 'soot-2']) {
      const texts = await Promise.all(
        (await readdir(join(folder, at))).map((f) => readFile(join(folder, at, f), 'utf8')),
      )
      expect([texts.length, new Set(texts.map((t) => t.slice(0, 3))).size]).toEqual([10, 1])
    }
  })

  it('that end too early leave nothing', async () => {
    const body = Readable.from([Buffer.from('[{"name":"a/b.mov","bytes":9}]\n1234')])
    await expect(receive(room, body)).rejects.toMatchObject({ detail: { code: 'server.upload-broken' } })
    expect(await readdir(folder)).toEqual([])
  })

  it.each([
    ['nothing', '[]\n'],
    ['no JSON', 'PNG\n'],
    ['several folders', '[{"name":"a/1.png","bytes":0},{"name":"b/1.png","bytes":0}]\n'],
    ['several without a folder', '[{"name":"1.png","bytes":0},{"name":"2.png","bytes":0}]\n'],
    ['one name twice', '[{"name":"a/1.png","bytes":0},{"name":"a/1.png","bytes":0}]\n'],
    ['no size', '[{"name":"a.mov","bytes":-1}]\n'],
  ])('whose head names %s are refused', async (_, head) => {
    const sent = receive(room, Readable.from([Buffer.from(head)]))
    await expect(sent).rejects.toMatchObject({ detail: { code: 'server.bad-request' } })
    expect(await readdir(folder)).toEqual([])
  })

  it('need a folder where a file stands: that is refused in words', async () => {
    await writeFile(join(folder, 'ok.txt'), '')
    for (const name of ['ok.txt/x.mov', 'ok.txt/sub/x.mov'])
      await expect(drop({ [name]: 'x' })).rejects.toMatchObject({
        detail: { code: 'server.no-folder', where: 'ok.txt' },
      })
    expect(await readdir(folder)).toEqual(['ok.txt'])
  })
})

describe('what a killed server had received', () => {
  it('is removed, and nothing that somebody still writes', async () => {
    const [old, young, held] = ['a', 'b', 'c'].map((c) => join(folder, `.platefit-${c.repeat(16)}.partial`))
    const before = new Date(Date.now() - 2 * 3_600_000)
    for (const f of [old, young, held] as string[]) {
      await mkdir(f)
      await writeFile(join(f, '0'), '')
    }
    await utimes(join(old as string, '0'), before, before)
    for (const f of [old, held] as string[]) await utimes(f, before, before)
    await sweep(room)
    expect((await readdir(folder)).length).toBe(2)
    await expect(readdir(old as string)).rejects.toThrow()
  })
})
