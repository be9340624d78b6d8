import { expect, it } from 'vitest'
import { Problem, type ProblemDetail } from '../core/index.js'
import { parseShot } from './parse.js'

type Points = [number, number][]
const three: Points = [
  [0, 0],
  [9, 0],
  [0, 9],
]
const element = {
  id: 'smoke',
  file: 's.mov',
  alpha: 'straight',
  nature: 'absorbs',
  position: { x: 1, y: 1 },
  scale: 1,
}
const post = { id: 'post', keys: [{ frame: 0, points: three }] }

function faults(parts: object, of: object = {}): ProblemDetail[] {
  const shot = { platefit: 1, plate: { file: 'p.mov' }, elements: [{ ...element, ...of }], ...parts }
  try {
    parseShot(shot, 'x')
  } catch (e) {
    if (e instanceof Problem) return [...(e.detail.faults ?? [e.detail])]
    throw e
  }
  return []
}

const codes = (all: ProblemDetail[]) => all.map((f) => [f.code, f.where?.replace('x: ', '')])

it('takes every kind of holdout', () => {
  const holdout = {
    shapes: ['post'],
    luminance: { none: 1, full: 0.5 },
    depth: true,
    file: 'm.png',
    still: true,
  }
  const parts = { shapes: [post], site: { depth: { file: 'd.exr' } } }
  expect(faults(parts, { holdout, distanceM: 4 })).toEqual([])
})

it('knows the shapes and tracks that are named', () => {
  const [fault] = faults({ shapes: [post] }, { holdout: { shapes: ['pots'] } })
  expect(fault).toMatchObject({
    code: 'shot.unknown-shape',
    where: 'x: elements[0].holdout.shapes[0]',
    remedy: 'Did you mean "post"?',
  })
  expect(codes(faults({ shapes: [{ ...post, follow: { track: 'wall' } }] }))).toEqual([
    ['shot.unknown-track', 'shapes[0].follow.track'],
  ])
})

it('wants one shape an id, keys that go forward, and the same points on each', () => {
  const keys = [
    { frame: 4, points: three },
    { frame: 4, points: [...three, [5, 5]] },
  ]
  expect(codes(faults({ shapes: [post, { ...post, keys }] }))).toEqual([
    ['shot.duplicate-id', 'shapes[1].id'],
    ['shot.key-order', 'shapes[1].keys[1].frame'],
    ['shot.shape-points', 'shapes[1].keys[1].points'],
  ])
})

it('wants what a holdout needs', () => {
  const of = (holdout: object) => codes(faults({}, { holdout }))
  expect(of({})).toEqual([['shot.empty-holdout', 'elements[0].holdout']])
  expect(of({ shapes: [] })[0]?.[1]).toBe('elements[0].holdout.shapes')
  expect(of({ luminance: { none: 1, full: 1 } })).toEqual([
    ['shot.luminance-step', 'elements[0].holdout.luminance'],
  ])
  expect(of({ depth: true })).toEqual([
    ['shot.depth-needs', 'site.depth'],
    ['shot.depth-needs', 'elements[0].distanceM'],
  ])
  expect(of({ luminance: { none: 1, full: 2 }, layer: 'A' })).toEqual([
    ['shot.holdout-needs-file', 'elements[0].holdout.layer'],
  ])
})
