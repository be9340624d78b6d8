import { describe, expect, it } from 'vitest'
import { Problem, type ProblemDetail } from '../core/index.js'
import { byDistance } from './order.js'
import { parseShot } from './parse.js'

const element = {
  id: 'smoke',
  file: 's.mov',
  alpha: 'straight',
  nature: 'absorbs',
  position: { x: 1, y: 2 },
  scale: 1,
}
const document = (over: object = {}) => ({
  platefit: 1,
  plate: { file: 'p.mov' },
  elements: [element],
  ...over,
})

function fault(input: unknown): ProblemDetail {
  try {
    parseShot(input, 'a.shot.json')
  } catch (e) {
    if (e instanceof Problem) return e.detail
    throw e
  }
  throw new Error('nothing was wrong')
}

const faultIn = (over: object) => fault(document({ elements: [{ ...element, ...over }] }))

describe('parseShot', () => {
  it('fills what was left out', () => {
    const shot = parseShot(JSON.stringify(document()), 'a.shot.json')
    expect(shot.camera).toEqual({})
    expect(shot.elements[0]).toMatchObject({ startFrame: 0, trimFrames: 0, treatments: {} })
  })

  it('refuses a scale that is a slip, by itself or in a key', () => {
    expect(faultIn({ scale: 1001 })).toMatchObject({ where: expect.stringContaining('scale') })
    expect(faultIn({ keys: [{ frame: 0, scale: 1e9 }] })).toMatchObject({
      where: expect.stringContaining('keys'),
    })
    expect(parseShot(document({ elements: [{ ...element, scale: 1000 }] }), 'a').elements[0]?.scale).toBe(
      1000,
    )
    expect(faultIn({ heightM: 900_000 })).toMatchObject({ where: expect.stringContaining('heightM') })
    expect(faultIn({ foot: { x: 1 } })).toMatchObject({ expected: 'a list' })
  })

  it('says where the text stops being JSON', () => {
    const f = fault('{\n  "platefit": 1,\n  "plate": }')
    expect(f.code).toBe('shot.not-json')
    expect(f.where).toMatch(/^a\.shot\.json/)
  })

  it('refuses a newer document by its version, not by what it holds', () => {
    expect(fault({ platefit: 2, whatever: true })).toMatchObject({
      code: 'shot.newer-version',
      where: 'a.shot.json: platefit',
      received: '2',
    })
  })

  it('takes every curve and gamut by name, and suggests the one that a mistyped word is near to', () => {
    const shot = parseShot(
      document({ plate: { file: 'p.mov', curve: 'logc4', primaries: 'arri-wide-gamut-4' } }),
      'a.shot.json',
    )
    expect(shot.plate).toMatchObject({ curve: 'logc4', primaries: 'arri-wide-gamut-4' })
    const wrong = faultIn({ curve: 'slog3' })
    expect(wrong).toMatchObject({ code: 'shot.wrong-value', where: 'a.shot.json: elements[0].curve' })
    expect(wrong.expected).toContain('"acescct"')
    expect(wrong.remedy).toBe('Did you mean "s-log3"?')
    expect(faultIn({ curve: 'logc3' }).remedy).toBe('Did you mean "logc3-ei800"?')
    // No index of the table: the nearest one would be another curve.
    expect(faultIn({ curve: 'logc3-ei1600' }).remedy).toContain('export it as linear OpenEXR')
    expect(faultIn({ primaries: 'sgamut3cine' }).remedy).toBe('Did you mean "s-gamut3-cine"?')
  })

  it('names an unknown key, its path and the nearest known one', () => {
    const f = faultIn({ scal: 2 })
    expect(f).toMatchObject({
      code: 'shot.unknown-key',
      where: 'a.shot.json: elements[0].scal',
      received: '"scal"',
    })
    expect(f.remedy).toContain('"scale"')
    const inMap = faultIn({ treatments: { 'lens.blur': { cannotTell: 'x' } } })
    expect(inMap.where).toBe('a.shot.json: elements[0].treatments["lens.blur"]')
    expect(inMap.remedy).toContain('"lens.blurRadius"')
    expect(faultIn({ nature: { emit: 1 } }).remedy).toContain('"emits"')
    expect(fault(document({ xyzzy: 1 })).expected).toContain('elements')
  })

  it('gives path, expected and received of a wrong value', () => {
    expect(faultIn({ scale: -1 })).toMatchObject({
      where: 'a.shot.json: elements[0].scale',
      expected: 'more than 0',
      received: '-1',
    })
    expect(faultIn({ nature: 'emit' }).expected).toBe('"emits", "absorbs" or "reflects"')
    expect(faultIn({ position: { x: 1 } }).where).toBe('a.shot.json: elements[0].position.y')
    expect(faultIn({ startFrame: 1.5 }).expected).toBe('a whole number')
    const evidence = { kind: 'set' }
    expect(faultIn({ treatments: { 'source.floor': { value: [1], evidence } } }).expected).toBe(
      'exactly 3 values',
    )
    expect(faultIn({ treatments: { 'lens.blurRadius': { value: [999], evidence } } }).expected).toBe(
      'at most 256',
    )
    expect(fault(document({ plate: { file: 'p.mov', rate: '23.976' } })).expected).toContain('24000/1001')
  })

  it('lists every fault, not only the first', () => {
    const f = faultIn({ scal: 1, alpha: 'green', id: 'A B' })
    expect(f.code).toBe('shot.faults')
    expect(f.faults?.map((x) => x.where).sort()).toEqual(
      ['alpha', 'id', 'scal'].map((k) => `a.shot.json: elements[0].${k}`),
    )
  })

  it.each([
    ['shot.duplicate-id', [element, element]],
    ['shot.reserved-id', [{ ...element, id: 'plate' }]],
    ['shot.unknown-element', [{ ...element, inside: 'smok' }]],
    ['shot.inside-itself', [{ ...element, inside: 'smoke' }]],
    ['shot.two-sizes', [{ ...element, heightM: 2, distanceM: 4 }]],
    ['shot.no-size', [{ ...element, scale: undefined }]],
    ['shot.nature-shares', [{ ...element, nature: { emits: 0.5, absorbs: 0.2 } }]],
    ['shot.key-order', [{ ...element, keys: [{ frame: 5 }, { frame: 5 }] }]],
  ])('finds %s', (code, elements) => {
    expect(fault(document({ elements })).code).toBe(code)
  })

  it('follows a circle of elements inside one another', () => {
    const ring = ['a', 'b', 'c'].map((id, i, all) => ({ ...element, id, inside: all[(i + 1) % 3] }))
    const f = fault(document({ elements: ring }))
    expect(f.faults?.map((x) => x.code)).toEqual(Array(3).fill('shot.inside-itself'))
    const chain = ring.map((e, i) => (i === 2 ? { ...e, inside: undefined } : e))
    expect(parseShot(document({ elements: chain }), 'a').elements).toHaveLength(3)
  })

  it('asks for distance and lens where a real height is given', () => {
    const { scale: _, ...bare } = element
    const f = fault(document({ elements: [{ ...bare, heightM: 2 }] }))
    expect(f.faults?.map((x) => x.where)).toEqual([
      'a.shot.json: elements[0].distanceM',
      'a.shot.json: camera.focalLengthMm',
      'a.shot.json: camera.sensorWidthMm',
    ])
  })

  it('accepts shares as rounded thirds', () => {
    const nature = { emits: 0.333, absorbs: 0.333, reflects: 0.333 }
    expect(parseShot(document({ elements: [{ ...element, nature }] }), 'a').elements).toHaveLength(1)
  })
})

describe('byDistance', () => {
  it('puts far first and keeps the order of those without a distance, nearest', () => {
    const elements = [
      { ...element, id: 'near1' },
      { ...element, id: 'm50', distanceM: 50 },
      { ...element, id: 'm900', distanceM: 900 },
      { ...element, id: 'm50b', distanceM: 50 },
      { ...element, id: 'near2' },
    ]
    const shot = parseShot(document({ elements }), 'a')
    expect(byDistance(shot.elements).map((e) => e.id)).toEqual(['m900', 'm50', 'm50b', 'near1', 'near2'])
  })
})
