import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { loadShot } from '../document.js'
import type { Finding, Suggestion } from './finding.js'
import { fixShot } from './fix.js'

let folder = ''
let shot = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-fix-'))
  shot = join(folder, 'a.shot.json')
  const element = { alpha: 'straight', nature: 'emits', position: { x: 1, y: 1 }, scale: 1 }
  const set = { value: [0.1, 0.1, 0.1], evidence: { kind: 'set' } }
  await writeFile(
    shot,
    JSON.stringify({
      platefit: 1,
      plate: { file: 'plate.mov', matrix: 'bt709' },
      elements: [
        { ...element, id: 'fire', file: 'fire.mov' },
        { ...element, id: 'smoke', file: 'smoke.mov', treatments: { 'source.floor': set } },
      ],
    }),
  )
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const finding = (confidence: number, suggestions: readonly Suggestion[]): Finding => ({
  code: 'diagnose.test',
  verdict: 'fault',
  sentence: 'Something.',
  confidence,
  frames: [3],
  method: 'a look',
  numbers: {},
  remedy: 'Do this.',
  suggestions,
})

describe('--fix', () => {
  it('writes an override of the plate, and keeps one that says otherwise', async () => {
    const fixes = await fixShot(shot, join(folder, 'plate.mov'), [
      finding(0.9, [{ field: 'range', value: 'full' }]),
      finding(0.9, [{ field: 'matrix', value: 'bt601' }]),
      finding(0.3, [{ field: 'curve', value: 'pq' }]),
    ])
    expect(fixes.map((f) => [f.path, f.kept])).toEqual([
      ['plate.range', undefined],
      ['plate.matrix', 'the document already says bt709'],
      ['plate.curve', 'not sure enough'],
    ])
    expect((await loadShot(shot)).shot.plate).toMatchObject({ range: 'full', matrix: 'bt709' })
  })

  it('writes alpha and measured treatments of an element; what was set by hand stays', async () => {
    const found = [
      finding(0.8, [{ field: 'alpha', value: 'premultiplied' }]),
      finding(0.8, [{ treatment: 'source.floor', value: [0.01, 0.02, 0.03] }]),
    ]
    await fixShot(shot, join(folder, 'fire.mov'), found)
    const kept = await fixShot(shot, join(folder, 'smoke.mov'), found)
    expect(kept[1]?.kept).toBe('it was set by hand')
    const [fire, smoke] = (await loadShot(shot)).shot.elements
    expect(fire?.alpha).toBe('premultiplied')
    expect(fire?.treatments['source.floor']).toEqual({
      value: [0.01, 0.02, 0.03],
      evidence: { kind: 'measured', frames: [3], method: 'a look', confidence: 0.8 },
    })
    expect(smoke?.treatments['source.floor']).toMatchObject({ value: [0.1, 0.1, 0.1] })
  })

  it('refuses a file that the shot does not use', async () => {
    await expect(fixShot(shot, join(folder, 'other.mov'), [])).rejects.toMatchObject({
      code: 'engine.file-not-in-shot',
    })
  })
})
