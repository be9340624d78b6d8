import { expect, it } from 'vitest'
import { firstShot } from './first.js'
import { parseShot } from './parse.js'

const plate = { file: 'plates/shore.mov', width: 1921, height: 1080 }

it('writes a document that checks, with every guess said', () => {
  const { shot, assumptions } = firstShot(plate, [
    {
      file: 'elements/Smoke_A.0001.exr',
      alpha: { kind: 'premultiplied', why: 'EXR', confidence: 0.7 },
      blackCorners: false,
    },
    { file: 'elements/fire.mp4', blackCorners: true },
    { file: '../soot/', alpha: { kind: 'straight', why: 'PNG', confidence: 0.7 }, blackCorners: false },
    { file: 'soot.mp4', blackCorners: false },
    { file: 'debris_##.png', alpha: { kind: 'straight', why: 'PNG', confidence: 0.7 }, blackCorners: false },
    { file: 'plate.mov', blackCorners: false },
  ])
  expect(parseShot(JSON.stringify(shot), 'first').elements).toHaveLength(6)
  expect(shot.elements.map((e) => e.id)).toEqual(['smoke-a', 'fire', 'soot', 'soot-2', 'debris', 'plate-2'])
  expect(shot.elements.map((e) => e.alpha)).toEqual([
    'premultiplied',
    'on-black',
    'straight',
    'none',
    'straight',
    'none',
  ])
  expect(shot.elements.map((e) => e.nature)).toEqual([
    'absorbs',
    'emits',
    'absorbs',
    'absorbs',
    'reflects',
    'reflects',
  ])
  expect(shot.elements[0]?.position).toEqual({ x: 960.5, y: 540 })
  // What is only guessed says so in the document, with how sure it is and which value it speaks for.
  expect(shot.elements.map((e) => e.evidence?.alpha?.value)).toEqual(shot.elements.map((e) => e.alpha))
  for (const e of shot.elements)
    expect(e.evidence?.alpha).toMatchObject({ kind: 'assumed', confidence: 0.7, why: expect.any(String) })
  for (const key of ['alpha', 'nature', 'position']) {
    expect(assumptions.filter((a) => a.where.endsWith(key) && a.why !== '')).toHaveLength(6)
  }
})

it('judges an element by its own name, not by the folders it lies in', () => {
  const { shot } = firstShot(plate, [
    { file: '../flashback/dust-road/blood.mov', blackCorners: false },
    { file: 'elements/smoke/0001.exr', blackCorners: false },
    { file: 'dust.mp4', blackCorners: true },
    { file: '../soot/', blackCorners: false },
  ])
  expect(shot.elements.map((e) => [e.id, e.nature])).toEqual([
    ['blood', 'reflects'],
    ['smoke', 'absorbs'],
    // Dust is often shot on black; it is no light for that.
    ['dust', 'absorbs'],
    ['soot', 'absorbs'],
  ])
})

it('says that a single picture stands to the end, of that alone', () => {
  const { assumptions } = firstShot(plate, [
    { file: 'board.png', blackCorners: false, still: true },
    { file: 'fire.mp4', blackCorners: true, still: false },
  ])
  const held = assumptions.filter((a) => a.where.endsWith('time.hold'))
  expect(held).toMatchObject([{ where: 'elements[0].time.hold', value: 'last' }])
})
