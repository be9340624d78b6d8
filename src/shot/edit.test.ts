import { describe, expect, it } from 'vitest'
import { clearTreatment, markMeant, mergeFit, setTreatment } from './edit.js'
import { natureShares } from './nature.js'
import { nearest } from './nearest.js'
import { parseShot } from './parse.js'
import type { Shot } from './schema.js'
import { shotText } from './write.js'

const shot = parseShot(
  {
    platefit: 1,
    plate: { file: 'p.mov' },
    elements: [
      { id: 'a', file: 'a.mov', alpha: 'none', nature: 'emits', position: { x: 0, y: 0 }, scale: 1 },
      { id: 'b', file: 'b.mov', alpha: 'none', nature: 'emits', position: { x: 0, y: 0 }, scale: 1 },
    ],
  },
  'test',
)

const derived = (value: number) => ({
  value: [value],
  evidence: { kind: 'derived' as const, formula: 'f', inputs: {}, confidence: 1 },
})

function withExposure(s: Shot, id: string, value: number): Shot {
  const elements = s.elements.map((e) =>
    e.id === id ? { ...e, treatments: { ...e.treatments, 'light.exposure': derived(value) } } : e,
  )
  return { ...s, elements }
}

const treatment = (s: Shot, id: string, name: string) => s.elements.find((e) => e.id === id)?.treatments[name]

describe('setTreatment', () => {
  it('leaves what it was given as it is, and says that a hand set it', () => {
    const before = structuredClone(shot)
    const after = setTreatment(shot, 'a', 'lens.blurRadius', [2.5], { note: 'by eye' })
    expect(shot).toEqual(before)
    expect(treatment(after, 'a', 'lens.blurRadius')).toEqual({
      value: [2.5],
      evidence: { kind: 'set', note: 'by eye' },
    })
    expect(treatment(after, 'b', 'lens.blurRadius')).toBeUndefined()
  })

  it('sets the plate too', () => {
    const after = setTreatment(shot, 'plate', 'sensor.grainMix', [0.1, 0.2, 0.3])
    expect(after.plate.treatments['sensor.grainMix']).toMatchObject({ value: [0.1, 0.2, 0.3] })
  })

  it.each([
    ['shot.unknown-element', 'c', 'lens.blurRadius', [1]],
    ['shot.unknown-treatment', 'a', 'lens.blurRadus', [1]],
    ['shot.unknown-treatment', 'plate', 'lens.blurRadius', [1]],
    ['shot.wrong-value', 'a', 'lens.blurRadius', [1, 2]],
    ['shot.wrong-value', 'a', 'lens.blurRadius', [-1]],
    ['shot.wrong-value', 'a', 'lens.blurRadius', [Number.NaN]],
  ])('refuses with %s', (code, target, name, value) => {
    expect(() => setTreatment(shot, target, name, value)).toThrow(expect.objectContaining({ code }))
  })
})

describe('mergeFit', () => {
  it('keeps hand-set values and edits made while the fit ran', () => {
    const start = withExposure(shot, 'a', 1)
    const fitted = withExposure(withExposure(start, 'a', 2), 'b', 3)
    const meanwhile = setTreatment(start, 'a', 'light.exposure', [7])
    const moved = { ...meanwhile, camera: { fNumber: 4 } }
    const result = mergeFit(moved, fitted)
    expect(treatment(result, 'a', 'light.exposure')).toMatchObject({ value: [7], evidence: { kind: 'set' } })
    expect(treatment(result, 'b', 'light.exposure')).toMatchObject({ value: [3] })
    expect(result.camera.fNumber).toBe(4)
  })

  it('drops older derived values, keeps new elements, does not bring back removed ones', () => {
    const start = withExposure(shot, 'a', 1)
    const [a, b] = start.elements
    const now = { ...start, elements: [a!, { ...b!, id: 'new' }] }
    const result = mergeFit(now, shot)
    expect(result.elements.map((e) => e.id)).toEqual(['a', 'new'])
    expect(treatment(result, 'a', 'light.exposure')).toBeUndefined()
  })

  it('takes the numbers of a form, keeps it, and goes back to the first', () => {
    const name = 'lens.distortion'
    const lens = (s: Shot) => s.plate.treatments[name]
    const shaped = setTreatment(shot, 'plate', name, [-0.004], { form: 'poly3' })
    expect(lens(shaped)).toEqual({ value: [-0.004], form: 'poly3', evidence: { kind: 'set' } })
    expect(parseShot(shotText(shaped), 'x').plate.treatments[name]).toEqual(lens(shaped))
    expect(lens(setTreatment(shaped, 'plate', name, [0.01]))).toMatchObject({ form: 'poly3', value: [0.01] })
    const plain = setTreatment(shaped, 'plate', name, [0, 0, 0, 0, 0], { form: 'brown-conrady' })
    expect(lens(plain)).toEqual({ value: [0, 0, 0, 0, 0], evidence: { kind: 'set' } })
    expect(() => setTreatment(shaped, 'plate', name, [0, 0])).toThrow('does not fit')
    expect(() => setTreatment(shot, 'plate', name, [0], { form: 'poly4' })).toThrow('no form called "poly4"')
    const wrong = {
      ...shot,
      plate: { ...shot.plate, treatments: { [name]: { value: [1], evidence: { kind: 'set' } } } },
    }
    expect(() => parseShot(JSON.stringify(wrong), 'x')).toThrow('does not fit')
  })

  it('leaves what a command of its own found', () => {
    const evidence = { kind: 'derived' as const, formula: 'f', inputs: {}, confidence: 1 }
    const lens = { value: [-0.004], form: 'poly3', evidence }
    const found = { ...shot, plate: { ...shot.plate, treatments: { 'lens.distortion': lens } } }
    expect(mergeFit(found, shot).plate.treatments['lens.distortion']).toEqual(lens)
  })

  it('gives way again after clearTreatment', () => {
    const set = setTreatment(shot, 'a', 'light.exposure', [7])
    const result = mergeFit(clearTreatment(set, 'a', 'light.exposure'), withExposure(shot, 'a', 2))
    expect(treatment(result, 'a', 'light.exposure')).toMatchObject({ value: [2] })
  })
})

describe('markMeant', () => {
  it('holds one mark a tell and element', () => {
    const once = markMeant(shot, { tell: 'blacks', element: 'a', measured: 1 })
    const twice = markMeant(markMeant(once, { tell: 'blacks', measured: 5 }), {
      tell: 'blacks',
      element: 'a',
      measured: 2,
    })
    expect(twice.meant).toEqual([
      { tell: 'blacks', measured: 5 },
      { tell: 'blacks', element: 'a', measured: 2 },
    ])
  })
})

describe('natureShares', () => {
  it('makes shares of a word and takes out rounding', () => {
    expect(natureShares('absorbs')).toEqual({ emits: 0, absorbs: 1, reflects: 0 })
    const s = natureShares({ emits: 0.333, absorbs: 0.666 })
    expect(s.emits + s.absorbs + s.reflects).toBeCloseTo(1, 15)
    expect(s.absorbs / s.emits).toBeCloseTo(2, 12)
  })
})

describe('nearest', () => {
  // Distances counted by hand after the definition of [damerau1964].
  it('finds a swap, a lost letter and a begun word, and nothing far', () => {
    expect(nearest('scael', ['scale', 'file'])).toBe('scale')
    expect(nearest('postion', ['position', 'group'])).toBe('position')
    expect(nearest('lens.blur', ['lens.blurRadius', 'light.cast'])).toBe('lens.blurRadius')
    expect(nearest('xyzzy', ['scale', 'file'])).toBeUndefined()
  })
})

describe('shotText', () => {
  it('does not depend on the order in which keys were put in', () => {
    const one = setTreatment(setTreatment(shot, 'a', 'light.exposure', [1]), 'a', 'lens.blurRadius', [2])
    const two = setTreatment(setTreatment(shot, 'a', 'lens.blurRadius', [2]), 'a', 'light.exposure', [1])
    expect(shotText(one)).toBe(shotText(two))
  })

  it('rounds to 7 digits, ends in a newline, comes back as it was, and leaves words alone', () => {
    const note = 'see [ 1, 2 ] "quoted"'
    const text = shotText(setTreatment(shot, 'a', 'light.exposure', [1 / 3], { note }))
    expect(text).toContain('[0.3333333]')
    expect(text.endsWith('}\n')).toBe(true)
    expect(text).toContain(JSON.stringify(note))
    expect(shotText(parseShot(text, 'again'))).toBe(text)
    expect(JSON.parse(text).elements[0].position).toEqual({ x: 0, y: 0 })
  })
})
