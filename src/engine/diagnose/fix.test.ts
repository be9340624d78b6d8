import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { loadShot } from '../document.js'
import type { Finding, Suggestion } from './finding.js'
import { fixShot } from './fix.js'

const GUESS = { value: 'straight', kind: 'assumed', why: 'convention', confidence: 0.7 }

let folder = ''
let shot = ''
beforeEach(async () => {
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
        { ...element, id: 'fire', file: 'fire.mov', evidence: { alpha: GUESS } },
        { ...element, id: 'smoke', file: 'smoke.mov', treatments: { 'source.floor': set } },
      ],
    }),
  )
})
afterEach(() => rm(folder, { recursive: true, force: true }))

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

const look = { kind: 'measured', frames: [3], method: 'a look' }

describe('--fix', () => {
  it('writes an override of the plate as measured, and keeps one that says otherwise', async () => {
    const fixes = await fixShot(shot, join(folder, 'plate.mov'), [
      finding(0.9, [{ field: 'range', value: 'full' }]),
      finding(0.9, [{ field: 'matrix', value: 'bt601' }]),
      finding(0.3, [{ field: 'curve', value: 'pq' }]),
    ])
    expect(fixes.map((f) => [f.path, f.kept])).toEqual([
      ['plate.range', undefined],
      ['plate.matrix', 'bt709 stands there, set by hand'],
      ['plate.curve', 'not sure enough'],
    ])
    const { plate } = (await loadShot(shot)).shot
    expect(plate).toMatchObject({ range: 'full', matrix: 'bt709' })
    expect(plate.evidence).toEqual({ range: { ...look, confidence: 0.9, value: 'full' } })
  })

  it('replaces an alpha that was assumed or measured, and none that a person set', async () => {
    const found = [finding(0.8, [{ field: 'alpha', value: 'premultiplied' }])]
    const written = await fixShot(shot, join(folder, 'fire.mov'), found)
    const kept = await fixShot(shot, join(folder, 'smoke.mov'), found)
    expect([written[0]?.kept, kept[0]?.kept]).toEqual([undefined, 'straight stands there, set by hand'])
    const [fire, smoke] = (await loadShot(shot)).shot.elements
    expect(fire?.alpha).toBe('premultiplied')
    expect(fire?.evidence).toEqual({ alpha: { ...look, confidence: 0.8, value: 'premultiplied' } })
    expect([smoke?.alpha, smoke?.evidence]).toEqual(['straight', undefined])
  })

  it('gives the same document when it is run again', async () => {
    const found = [finding(0.8, [{ field: 'alpha', value: 'premultiplied' }])]
    await fixShot(shot, join(folder, 'fire.mov'), found)
    const once = await readFile(shot, 'utf8')
    await fixShot(shot, join(folder, 'fire.mov'), found)
    expect(await readFile(shot, 'utf8')).toBe(once)
  })

  it('keeps what a person put in the place of a guess or of its own finding', async () => {
    const found = [finding(0.8, [{ field: 'alpha', value: 'premultiplied' }])]
    await fixShot(shot, join(folder, 'fire.mov'), found)
    const text = await readFile(shot, 'utf8')
    await writeFile(shot, text.replace('"alpha": "premultiplied"', '"alpha": "on-black"'))
    const again = await fixShot(shot, join(folder, 'fire.mov'), found)
    expect(again[0]?.kept).toBe('on-black stands there, set by hand')
    expect((await loadShot(shot)).shot.elements[0]?.alpha).toBe('on-black')
  })

  it('writes measured treatments of an element; what was set by hand stays', async () => {
    const found = [finding(0.8, [{ treatment: 'source.floor', value: [0.01, 0.02, 0.03] }])]
    await fixShot(shot, join(folder, 'fire.mov'), found)
    const kept = await fixShot(shot, join(folder, 'smoke.mov'), found)
    expect(kept[0]?.kept).toBe('it was set by hand')
    const [fire, smoke] = (await loadShot(shot)).shot.elements
    expect(fire?.treatments['source.floor']).toEqual({
      value: [0.01, 0.02, 0.03],
      evidence: { ...look, confidence: 0.8 },
    })
    expect(smoke?.treatments['source.floor']).toMatchObject({ value: [0.1, 0.1, 0.1] })
  })

  it('refuses a file that the shot does not use', async () => {
    await expect(fixShot(shot, join(folder, 'other.mov'), [])).rejects.toMatchObject({
      code: 'engine.file-not-in-shot',
    })
  })
})
