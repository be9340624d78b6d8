import { expect, test } from 'vitest'
import { tell } from '../../test/report/findings.js'
import { tellMethod, tellNumbers } from './tell-words.js'

const told = (over: Parameters<typeof tell>[1]) =>
  tellNumbers(tell(9, over)).map(([name, text]) => `${name} ${text.replaceAll('\u00a0', ' ')}`)

test('light is in per cent of white, its limit in stops', () => {
  expect(told({ tell: 'whites', unit: 'linear', measured: 0.3729, expected: 0.1304, limit: 0.5 })).toEqual([
    'Measured 37 % of white',
    'Expected 13 % of white',
    'Allowed ±0.5 stops',
  ])
})

test('a limit on the measured number says from which side', () => {
  const grain = { tell: 'grain-amount', unit: '×', expected: 1 }
  expect(told({ ...grain, measured: 8.363, limit: 1.4 })[2]).toBe('Allowed up to 1.4 ×')
  expect(told({ ...grain, measured: 0.4, limit: 0.7 })[2]).toBe('Allowed 0.70 × or more')
})

test('code values are told on the scale of 8 bits; likeness on that of 1; haze as a share', () => {
  expect(told({ tell: 'cut-border', unit: 'code', measured: 0.0734, expected: 0, limit: 0.015 })).toEqual([
    'Measured 19 of 255',
    'Expected 0 of 255',
    'Allowed up to 3.8 of 255',
  ])
  expect(told({ tell: 'grain-size', unit: '–', measured: 0.9143, expected: 0.3623, limit: 0.2 })).toEqual([
    'Measured 0.91 of 1',
    'Expected 0.36 of 1',
    'Allowed ±0.20 of 1',
  ])
  expect(told({ tell: 'haze', unit: '–', measured: 0.04, expected: 0.12, limit: 0.07 })[0]).toBe(
    'Measured 4 %',
  )
})

test('a cast is not told by two levels of light', () => {
  expect(told({ tell: 'cast', unit: 'linear', measured: 0.3, expected: 0.3, limit: 0.2 })).toEqual([
    'Allowed ±0.2 stops',
  ])
})

test('a tell that is not known here keeps its numbers and has no method', () => {
  const odd = tell(9, { tell: 'odd', unit: 'px', measured: 2, expected: 1, limit: 1.5 })
  expect(tellNumbers(odd)).toHaveLength(3)
  expect(tellMethod(odd)).toBeUndefined()
  expect(tellMethod(tell(9, { tell: 'halo' }))).toContain('rim')
})
