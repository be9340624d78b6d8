import { expect, it } from 'vitest'
import { counted, numbers, table } from './table.js'

it('aligns columns and leaves no space at the end', () => {
  expect(table([['a', 'bb'], ['ccc', ''], ['d']])).toBe('a    bb\nccc\nd')
})

it('writes numbers for reading', () => {
  expect(numbers([0.123456, 1900, -0])).toBe('0.1235 1900 0')
  expect(numbers(undefined)).toBe('–')
  expect(numbers(Array(12).fill(1))).toBe('1 1 1 1 1 1 … (12)')
  expect([counted(1, 'frame'), counted(0, 'frame')]).toEqual(['1 frame', '0 frames'])
})
