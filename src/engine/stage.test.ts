import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { SMALL, smallFiles } from '../../test/small.js'
import { parseShot, type Shot } from '../shot/index.js'
import { loadShot, saveShot } from './document.js'
import { addElement, newShot } from './first.js'
import { findFiles, stageOf } from './stage.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-stage-'))
beforeAll(() => smallFiles(folder, 10))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const fire = {
  id: 'fire',
  file: 'fire',
  alpha: 'on-black',
  nature: 'emits',
  position: { x: 80, y: 48 },
} as const
const shotOf = (...elements: object[]): Shot =>
  parseShot(
    {
      platefit: 1,
      plate: { file: 'plate' },
      camera: { sensorWidthMm: 32, focalLengthMm: 40 },
      elements,
    },
    'test',
  )
const staged = async (shot: Shot) => stageOf(shot, await findFiles(shot, folder))

describe('the stage', () => {
  it('says what the plate is, and on which frames an element shows', async () => {
    const { plate, elements } = await staged(shotOf({ ...fire, scale: 2, startFrame: 3 }))
    expect(plate).toMatchObject({ file: 'plate', ...SMALL, frames: 10, rate: 24 })
    expect(plate.facts).toMatch(/^160×96, 10 frames at 24, png, /)
    // Four pictures from the fourth frame on.
    expect(elements).toMatchObject([{ id: 'fire', width: 64, height: 48, first: 3, shown: 4, scale: 2 }])
  })

  it('counts only what lies within the shot', async () => {
    const [late, before] = [
      shotOf({ ...fire, scale: 1, startFrame: 8 }),
      shotOf({ ...fire, scale: 1, startFrame: -3 }),
    ]
    expect((await staged(late)).elements[0]).toMatchObject({ first: 8, shown: 2 })
    expect((await staged(before)).elements[0]).toMatchObject({ first: 0, shown: 1 })
  })

  // By hand: a plate pixel at 10 m is 32 mm / 160 px / 40 mm · 10 m = 0.05 m.
  it('says scale by real height, and real height by scale', async () => {
    const { elements } = await staged(
      shotOf({ ...fire, heightM: 4.8, distanceM: 10 }, { ...fire, id: 'two', scale: 2, distanceM: 10 }),
    )
    expect(elements[0]?.scale).toBeCloseTo(2, 9)
    expect(elements[0]?.heightM).toBeCloseTo(4.8, 9)
    expect(elements[1]?.heightM).toBeCloseTo(4.8, 9)
    const [bare] = (await staged(shotOf({ ...fire, scale: 2 }))).elements
    expect(bare).toMatchObject({ scale: 2, heightM: undefined })
  })

  it('says what nobody said of a file: numbered pictures have no rate, and a hand is believed', async () => {
    const rate = (taken: readonly { field: string }[]) => taken.find((t) => t.field === 'rate')
    const { plate, elements } = await staged(shotOf({ ...fire, scale: 1, rate: '25' }))
    expect(rate(plate.taken)).toMatchObject({ value: '24', assumed: expect.any(Number) })
    expect(rate(elements[0]?.taken ?? [])).toEqual({ field: 'rate', value: '25' })
    expect(elements[0]?.taken[0]).toEqual({ field: 'alpha', value: 'on-black' })
    const guess = { alpha: { kind: 'assumed', why: 'it has none', confidence: 0.4, value: 'on-black' } }
    const [guessed] = (await staged(shotOf({ ...fire, scale: 1, evidence: guess }))).elements
    expect(guessed?.taken[0]).toEqual({ field: 'alpha', value: 'on-black', assumed: 0.4 })
  })

  it('goes on where a file is not there, and says so', async () => {
    const { plate, elements } = await staged(shotOf({ ...fire, file: 'gone.mov', scale: 1 }))
    expect(plate.frames).toBe(10)
    expect(elements[0]).toMatchObject({ facts: '', shown: 0, scale: undefined })
    expect(elements[0]?.problem?.detail.what).toBeTruthy()
  })
})

describe('addElement', () => {
  it('gives the document that a new one with both would be', async () => {
    const plate = join(folder, 'plate')
    const element = join(folder, 'fire')
    const [all, grown] = [join(folder, 'all.shot.json'), join(folder, 'grown.shot.json')]
    const once = await newShot({ plate, elements: [element, element], out: all })
    await newShot({ plate, elements: [element], out: grown })
    const added = await addElement(grown, element)
    expect(added.id).toBe('fire-2')
    expect((await loadShot(grown)).shot).toEqual(once.shot)
    for (const guess of added.assumptions) expect(once.assumptions).toContainEqual(guess)
    expect(added.assumptions.map((a) => a.where)).toContain('elements[1].alpha')
  })

  it('leaves the document as it is where the file cannot be opened', async () => {
    const path = join(folder, 'left.shot.json')
    await saveShot(path, shotOf({ ...fire, scale: 1 }))
    const { revision } = await loadShot(path)
    await expect(addElement(path, join(folder, 'gone.mov'))).rejects.toHaveProperty('detail.code')
    expect((await loadShot(path)).revision).toBe(revision)
  })
})
