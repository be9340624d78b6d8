import { describe, expect, it } from 'vitest'
import { applyEdit, type Edit, parseEdit } from './command.js'
import { parseShot } from './parse.js'
import type { Shot } from './schema.js'

const shot = parseShot(
  {
    platefit: 1,
    plate: { file: 'p.mov', range: 'full' },
    camera: { sensorWidthMm: 24, focalLengthMm: 35 },
    elements: [
      { id: 'a', file: 'a.mov', alpha: 'straight', nature: 'emits', position: { x: 5, y: 6 }, scale: 2 },
      {
        id: 'b',
        file: 'b.mov',
        alpha: 'none',
        nature: 'absorbs',
        position: { x: 0, y: 0 },
        heightM: 3,
        distanceM: 20,
        inside: 'a',
      },
    ],
    meant: [{ tell: 'blacks', element: 'a', measured: 1 }],
  },
  'test',
)

const edited = (...edits: Edit[]) => parseShot(edits.reduce<Shot>(applyEdit, shot), 'test')
const element = (s: Shot, id: string) => s.elements.find((e) => e.id === id)

describe('applyEdit', () => {
  it('leaves what it was given as it is', () => {
    const before = structuredClone(shot)
    edited({ kind: 'place', element: 'a', position: { x: 9, y: 9 } }, { kind: 'removeElement', element: 'b' })
    expect(shot).toEqual(before)
  })

  it('places: a scale goes before a real height, and the other way round', () => {
    const moved = edited(
      { kind: 'place', element: 'a', position: { x: 7.5, y: -3 }, startFrame: 4, distanceM: 12 },
      { kind: 'place', element: 'a', heightM: 2 },
      { kind: 'place', element: 'b', scale: 0.5, distanceM: null },
    )
    expect(element(moved, 'a')).toMatchObject({
      position: { x: 7.5, y: -3 },
      startFrame: 4,
      heightM: 2,
      distanceM: 12,
    })
    expect(element(moved, 'a')).not.toHaveProperty('scale')
    expect(element(moved, 'b')).toMatchObject({ scale: 0.5 })
    expect(element(moved, 'b')).not.toHaveProperty('heightM')
    expect(element(moved, 'b')).not.toHaveProperty('distanceM')
  })

  it('weakens a link, switches it off and on again, and says nothing where nothing is said', () => {
    const weak = edited(
      { kind: 'link', element: 'a', link: 'air', strength: 0.4 },
      { kind: 'link', element: 'a', link: 'air', off: true },
      { kind: 'link', element: 'a', link: 'source', off: true },
    )
    expect(element(weak, 'a')?.links).toEqual({ air: { strength: 0.4, off: true }, source: { off: true } })
    const back = [
      { kind: 'link', element: 'a', link: 'air', strength: 1, off: false },
      { kind: 'link', element: 'a', link: 'source', off: false },
    ] as const
    expect(back.reduce<Shot>(applyEdit, weak).elements[0]).not.toHaveProperty('links')
  })

  it('takes a file for something by hand, and believes its tags again', () => {
    const taken = edited({ kind: 'override', target: 'a', field: 'alpha', value: 'premultiplied' })
    expect(element(taken, 'a')).toMatchObject({
      alpha: 'premultiplied',
      evidence: { alpha: { kind: 'set', value: 'premultiplied' } },
    })
    const believed = edited({ kind: 'override', target: 'plate', field: 'range', value: null })
    expect(believed.plate).not.toHaveProperty('range')
    expect(believed.plate).not.toHaveProperty('evidence')
  })

  it('removes an element with the marks on it; what stood inside it stands alone', () => {
    const less = edited({ kind: 'removeElement', element: 'a' })
    expect(less.elements.map((e) => e.id)).toEqual(['b'])
    expect(less.elements[0]).not.toHaveProperty('inside')
    expect(less.meant).toEqual([])
  })

  it('says camera, site, nature, place of comparison and what is meant, and takes it back', () => {
    const region = { x: 1, y: 2, width: 30, height: 40, frame: 3 }
    const said = edited(
      { kind: 'camera', field: 'fNumber', value: 4 },
      { kind: 'site', field: 'visibilityM', value: 9000 },
      { kind: 'nature', element: 'a', value: 'reflects' },
      { kind: 'compareWith', element: 'a', region },
      { kind: 'meant', tell: 'halo', element: 'b', measured: 0.3 },
    )
    expect(said.camera.fNumber).toBe(4)
    expect(said.site.visibilityM).toBe(9000)
    expect(element(said, 'a')).toMatchObject({ nature: 'reflects', compareWith: region })
    expect(said.meant).toContainEqual({ tell: 'halo', element: 'b', measured: 0.3 })
    const back = [
      { kind: 'camera', field: 'fNumber', value: null },
      { kind: 'compareWith', element: 'a', region: null },
      { kind: 'notMeant', tell: 'halo', element: 'b' },
    ] as const
    const unsaid = back.reduce<Shot>(applyEdit, said)
    expect(unsaid.camera).not.toHaveProperty('fNumber')
    expect(unsaid.elements[0]).not.toHaveProperty('compareWith')
    expect(unsaid.meant).toEqual(shot.meant)
  })

  it.each([
    ['shot.unknown-element', { kind: 'place', element: 'c', scale: 2 }],
    ['shot.unknown-element', { kind: 'removeElement', element: 'c' }],
    ['shot.unknown-treatment', { kind: 'treatment', target: 'a', name: 'lens.blur', value: [1] }],
    ['shot.wrong-value', { kind: 'treatment', target: 'a', name: 'lens.blurRadius', value: [-1] }],
  ] as const)('refuses with %s', (code, edit) => {
    expect(() => applyEdit(shot, edit as unknown as Edit)).toThrow(expect.objectContaining({ code }))
  })
})

describe('parseEdit', () => {
  it('takes what is an edit', () => {
    const edit = { kind: 'link', element: 'a', link: 'lens', strength: 0.25 }
    expect(parseEdit(edit)).toEqual(edit)
  })

  it.each([
    [null],
    [{}],
    [{ kind: 'place' }],
    [{ kind: 'place', element: 'a', scale: 0 }],
    [{ kind: 'place', element: 'a', position: { x: Number.NaN, y: 0 } }],
    [{ kind: 'link', element: 'a', link: 'air', strength: 1.1 }],
    [{ kind: 'link', element: 'a', link: 'display' }],
    [{ kind: 'camera', field: '__proto__', value: 1 }],
    [{ kind: 'meant', tell: 'x', measured: 1, more: 2 }],
  ])('refuses %j', (input) => {
    expect(() => parseEdit(input)).toThrow(expect.objectContaining({ code: 'shot.bad-edit' }))
  })
})
