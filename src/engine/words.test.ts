import { expect, it } from 'vitest'
import { percent } from './words.js'

it.each([
  [0, '0 %'],
  [1, '100 %'],
  [0.56, '56 %'],
  [0.2107, '21.1 %'],
  [0.0417, '4.2 %'],
  [0.00449, '0.45 %'],
  [-0.5, '-50 %'],
])('%d is %s', (share, words) => {
  expect(percent(share)).toBe(words)
})
