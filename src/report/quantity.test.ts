import { expect, test } from 'vitest'
import { partWords } from './quantity.js'

test.each([
  [undefined, undefined],
  [0, 'left out'],
  [0.4, '40 % done'],
])('a strength of %s is told as: %s', (strength, words) => {
  expect(partWords(strength === undefined ? {} : { strength })).toBe(words)
})
