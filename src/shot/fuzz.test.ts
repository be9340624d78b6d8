import fc from 'fast-check'
import { expect, it } from 'vitest'
import { Problem } from '../core/index.js'
import { parseShot } from './parse.js'
import { pathText } from './path.js'

const valid = {
  platefit: 1,
  plate: {
    file: 'p.mov',
    frames: { first: 0, count: 2 },
    treatments: { 'sensor.grainMix': { cannotTell: 'dark' } },
  },
  camera: { fNumber: 4 },
  site: { visibilityM: 900 },
  elements: [
    {
      id: 'a',
      file: 'a.mov',
      alpha: 'none',
      nature: { emits: 0.5, absorbs: 0.5 },
      position: { x: 0, y: 0 },
      scale: 1,
      keys: [{ frame: 1 }],
      lights: [
        {
          polygon: [
            [0, 0],
            [1, 0],
            [0, 1],
          ],
          awayM: 2,
        },
      ],
      treatments: { 'light.exposure': { value: [1], evidence: { kind: 'set' } } },
    },
  ],
  meant: [{ tell: 'blacks', element: 'a', measured: 1 }],
}

/** Every place of the document, as steps from its root. */
function places(value: unknown, path: PropertyKey[] = []): PropertyKey[][] {
  if (typeof value !== 'object' || value === null) return [path]
  const steps = Array.isArray(value) ? value.map((v, i) => [i, v] as const) : Object.entries(value)
  return [path, ...steps.flatMap(([k, v]) => places(v, [...path, k]))]
}

function withValue(root: unknown, path: readonly PropertyKey[], value: unknown): unknown {
  const [step, ...rest] = path
  if (step === undefined) return value
  const copy = (Array.isArray(root) ? [...root] : { ...(root as object) }) as Record<PropertyKey, unknown>
  copy[step] = withValue(copy[step], rest, value)
  return copy
}

it('answers anything with a document or a Problem, never with another error', () => {
  fc.assert(
    fc.property(fc.oneof(fc.json(), fc.jsonValue(), fc.string()), (input) => {
      expect(() => parseShot(input, 'f')).toThrow(Problem)
    }),
  )
})

it('finds a wrong value at its own place, wherever it stands', () => {
  expect(parseShot(valid, 'f').elements).toHaveLength(1)
  const wrong = fc.constantFrom<unknown>(null, 'nonsense words', -1e9, true, [], [null], { zz: 1 })
  fc.assert(
    fc.property(fc.constantFrom(...places(valid)), wrong, (path, value) => {
      let problem: unknown
      try {
        parseShot(withValue(valid, path, value), 'f')
        return // Such as another note, or an empty list of elements: allowed.
      } catch (e) {
        problem = e
      }
      expect(problem).toBeInstanceOf(Problem)
      const { detail } = problem as Problem
      for (const f of detail.faults ?? [detail]) {
        expect(f.expected ?? f.received).toBeDefined()
        expect(f.where).toMatch(/^f/)
      }
      // Faults between values may be told at the other value; all others are told here or further in.
      const here = (detail.faults ?? [detail]).some((f) => f.where?.startsWith(`f: ${pathText(path)}`))
      const between = ['shot.unknown-element', 'shot.nature-shares', 'shot.newer-version'].includes(
        detail.code,
      )
      expect(here || between || path.length === 0).toBe(true)
    }),
    { numRuns: 500 },
  )
})
