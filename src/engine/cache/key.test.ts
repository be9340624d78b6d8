import fc from 'fast-check'
import { expect, it } from 'vitest'
import { canonical, keyOf } from './key.js'

it('is one text for one value, whatever the order of its properties', () => {
  expect(canonical({ b: 1, a: { d: [true, null], c: 'x"' } })).toBe(
    '{"a":{"c":"x\\"","d":[true,null]},"b":1}',
  )
  expect(canonical({ a: 1, b: undefined })).toBe(canonical({ a: 1 }))
  expect(canonical(Float32Array.of(0.5, 2))).toBe('[0.5,2]')
})

it('is plain JSON, its names sorted, of all that JSON can hold', () => {
  fc.assert(
    fc.property(fc.jsonValue(), (v) => {
      // JSON has no -0.
      fc.pre(!canonical(v).includes('-0'))
      expect(JSON.parse(canonical(v))).toEqual(JSON.parse(JSON.stringify(v)))
    }),
  )
})

it('tells apart what JSON cannot', () => {
  const odd = [0, -0, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, null, 'NaN', 1n]
  expect(new Set(odd.map(canonical)).size).toBe(odd.length)
  expect(new Set(odd.map(keyOf)).size).toBe(odd.length)
  expect(keyOf({ kind: 'a' })).toMatch(/^[0-9a-f]{64}$/)
})

it('refuses what has no lasting text', () => {
  for (const v of [() => 1, Symbol('s'), new Map(), new Date(0), { deep: [new Set()] }])
    expect(() => keyOf(v)).toThrow(TypeError)
})
