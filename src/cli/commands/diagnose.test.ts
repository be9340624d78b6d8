/** What a person sees of `diagnose` beside its findings: how far it is, and what to do about a fault. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { cutFile, makeMovie, makePicture, noise } from '../../../test/media/fixture.js'
import type { FileDiagnosis } from '../../engine/diagnose/index.js'
import type { Progress } from '../../engine/types.js'
import { diagnose } from './diagnose.js'

let folder = ''
let paths: string[] = []
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-diagnose-'))
  paths = ['a.png', 'b.png'].map((name) => join(folder, name))
  // Eight bits, each value twice in sixteen: codes of 257 · v.
  const eight = noise('rgb24', 64, 48, 8, 1)
  const bytes = Buffer.alloc(2 * eight.length)
  eight.forEach((v, i) => {
    bytes.writeUInt16BE(257 * v, 2 * i)
  })
  for (const path of paths) await makePicture(path, 'png', 'rgb48be', 64, 48, bytes)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

async function itemsOf(files: readonly string[]) {
  const told: Progress[] = []
  await diagnose(files, {}, { onProgress: (p) => told.push(p) })
  return told.map((p) => `${p.item ?? ''} ${p.done}/${p.total}`)
}

it('tells of several files which one it is at, and of one only how far', async () => {
  expect(await itemsOf(paths)).toEqual(['a.png (1 of 2) 1/1', 'b.png (2 of 2) 1/1'])
  expect(await itemsOf(paths.slice(0, 1))).toEqual([' 1/1'])
})

it('says under a fault what to do, and as `remedy` to a machine', async () => {
  const { text, json, exit } = await diagnose(paths.slice(0, 1))
  expect(exit).toBe(1)
  const { findings } = (json as { files: FileDiagnosis[] }).files[0]!
  const faults = findings.filter((f) => f.verdict === 'fault')
  expect(faults.map((f) => f.code)).toContain('diagnose.bits')
  const lines = text.split('\n').map((l) => l.trim())
  for (const f of faults) {
    const at = lines.findIndex((l) => l.startsWith('fault') && l.includes(f.sentence))
    expect(lines[at + 1]).toBe(`→ ${f.remedy}`)
  }
})

it('gives 1 with a fault on the page and 0 without; what cannot be used is a fault like the others', async () => {
  const [whole, headless] = [join(folder, 'whole.mp4'), join(folder, 'headless.mp4')]
  const frames = Array.from({ length: 12 }, (_, i) => noise('yuv420p', 96, 64, 8, i))
  const options = { qp: 10 }
  await makeMovie(whole, { encoder: 'libx264', format: 'yuv420p', width: 96, height: 64, frames, options })
  // Its index stands at its end.
  await cutFile(whole, headless, 0.5)
  const none = await diagnose([headless])
  expect(none.exit).toBe(1)
  expect(none.text).toMatch(/fault +file +95 % sure +.*\n +→ /)
  const cut = join(folder, 'hole.1.png')
  const picture = noise('rgb24', 64, 48, 8, 1)
  for (const name of [cut, join(folder, 'hole.3.png')])
    await makePicture(name, 'png', 'rgb24', 64, 48, picture)
  const hole = await diagnose([join(folder, 'hole.#.png')])
  expect(hole.exit).toBe(1)
  expect(hole.text).toMatch(/fault +frames .*no file for 2/)
  expect(hole.text).not.toContain('note:')
  const fine = await diagnose([cut], { still: true })
  expect(fine.text).not.toMatch(/^ +fault/m)
  expect(fine.exit).toBe(0)
})
