import { describe, expect, it } from 'vitest'
import { hidesOn, shapesBefore } from './before.js'
import { applyEdit, parseEdit } from './command.js'
import { parseShot } from './parse.js'
import type { Shot } from './schema.js'

type Points = [number, number][]
const at = (x: number): Points => [
  [x, 0],
  [x + 9, 0],
  [x, 9],
]
const shape = { id: 'post', keys: [{ frame: 5, points: at(0) }] }
const element = (id: string, more: object = {}) => ({
  ...{ id, file: 's.mov', alpha: 'straight', nature: 'absorbs', position: { x: 1, y: 1 }, scale: 1 },
  ...more,
})
const start = parseShot(
  {
    platefit: 1,
    plate: { file: 'p.mov' },
    tracks: [{ id: 'wall' }],
    elements: [
      element('smoke', { distanceM: 10, holdout: { shapes: ['post'] } }),
      element('dust', { distanceM: 3 }),
    ],
    shapes: [shape, { ...shape, id: 'tree', distanceM: 5 }],
  },
  'x',
)

/** Edits one after the other, each as the page would send it; every state must be a document that can be read. */
function edited(...edits: object[]): Shot {
  return edits.reduce((shot: Shot, e) => parseShot(applyEdit(shot, parseEdit(e)), 'x'), start)
}
const post = (s: Shot) => s.shapes.find((x) => x.id === 'post')!

describe('edits of shapes', () => {
  it('add one', () => {
    const shot = edited({ kind: 'addShape', shape: { id: 'car', kind: 'polygon', keys: shape.keys } })
    expect(shot.shapes.map((s) => [s.id, s.kind, s.featherPx])).toEqual([
      ['post', 'spline', 1.5],
      ['tree', 'spline', 1.5],
      ['car', 'polygon', 1.5],
    ])
    expect(() => edited({ kind: 'addShape', shape })).toThrow()
  })

  it('set a key where it belongs, by hand, and take it away again', () => {
    const carried = parseShot(
      {
        ...start,
        shapes: [
          { ...shape, keys: [{ frame: 5, points: at(0), carried: { spreadPx: 0.3 } }] },
          start.shapes[1],
        ],
      },
      'x',
    )
    const set = applyEdit(carried, parseEdit({ kind: 'shapeKey', shape: 'post', frame: 5, points: at(2) }))
    expect(post(set).keys).toEqual([{ frame: 5, points: at(2) }])
    const two = edited(
      { kind: 'shapeKey', shape: 'post', frame: 9, points: at(1) },
      { kind: 'shapeKey', shape: 'post', frame: 2, points: at(7) },
    )
    expect(post(two).keys.map((k) => k.frame)).toEqual([2, 5, 9])
    const less = applyEdit(two, parseEdit({ kind: 'removeShapeKey', shape: 'post', frame: 5 }))
    expect(post(less).keys.map((k) => k.frame)).toEqual([2, 9])
    const key = (frame: number) => ({ kind: 'removeShapeKey', shape: 'post', frame })
    expect(() => edited(key(4))).toThrowError(expect.objectContaining({ code: 'shot.no-such-key' }))
    expect(() => edited(key(5))).toThrowError(expect.objectContaining({ code: 'shot.last-key' }))
    expect(() => edited({ kind: 'shapeKey', shape: 'post', frame: 9, points: [...at(1), [4, 4]] })).toThrow(
      /points/,
    )
  })

  it('say how soft, how far and with what it goes, and unsay it', () => {
    const said = { kind: 'shape', shape: 'post', outline: 'polygon', featherPx: 4, distanceM: 8 }
    const shot = edited({ ...said, follow: { track: 'wall' } })
    expect(post(shot)).toMatchObject({
      kind: 'polygon',
      featherPx: 4,
      distanceM: 8,
      follow: { track: 'wall', take: 'all' },
    })
    const back = applyEdit(shot, parseEdit({ kind: 'shape', shape: 'post', distanceM: null, follow: null }))
    expect(post(back)).toEqual({ ...post(start), kind: 'polygon', featherPx: 4 })
  })

  it('take a shape out of every holdout with it', () => {
    const shot = edited({ kind: 'removeShape', shape: 'post' })
    expect(shot.shapes.map((s) => s.id)).toEqual(['tree'])
    expect(shot.elements[0]!.holdout).toBeUndefined()
    const both = edited(
      { kind: 'holdout', element: 'smoke', holdout: { shapes: ['post', 'tree'] } },
      { kind: 'removeShape', shape: 'post' },
    )
    expect(both.elements[0]!.holdout).toEqual({ shapes: ['tree'] })
    expect(() => edited({ kind: 'removeShape', shape: 'pots' })).toThrowError(
      expect.objectContaining({ detail: expect.objectContaining({ remedy: 'Did you mean "post"?' }) }),
    )
  })

  it('set what stands before an element', () => {
    const holdout = { luminance: { none: 0.5, full: 2 } }
    expect(edited({ kind: 'holdout', element: 'dust', holdout }).elements[1]!.holdout).toEqual(holdout)
    expect(edited({ kind: 'holdout', element: 'smoke', holdout: null }).elements[0]!.holdout).toBeUndefined()
    expect(() => edited({ kind: 'holdout', element: 'dust', holdout: {} })).toThrow()
  })

  it('leave what they are given as it was', () => {
    const before = JSON.stringify(start)
    edited(
      { kind: 'removeShape', shape: 'tree' },
      { kind: 'shapeKey', shape: 'post', frame: 1, points: at(1) },
    )
    expect(JSON.stringify(start)).toBe(before)
  })
})

it('before an element stands what its holdout names, and what is nearer than it', () => {
  const before = start.elements.map((e) => shapesBefore(start, e).map((s) => s.id))
  expect(before).toEqual([['post', 'tree'], []])
  const { distanceM: _, ...near } = start.elements[1]!
  expect(shapesBefore(start, near)).toEqual([])
})

it('a shape hides on its frames alone, and on all where none are said', () => {
  const [post] = start.shapes
  const on = [39, 40, 58, 59].map((f) => hidesOn({ ...post!, frames: { first: 40, count: 19 } }, f))
  expect(on).toEqual([false, true, true, false])
  expect(hidesOn(post!, 0)).toBe(true)
})
