import { expect, test } from 'vitest'
import {
  formatBound,
  formatBytes,
  formatFrameList,
  formatFrames,
  formatNumber,
  formatRate,
  formatRegion,
  formatValues,
} from './format.js'

test.each([
  [1.43, 'stops', '+1.4\u00a0stops'],
  [-1.43, 'stops', '−1.4\u00a0stops'],
  [-0.04, 'stops', '−0.04\u00a0stops'],
  [-0.001, 'stops', '0\u00a0stops'],
  [0, 'stops', '0\u00a0stops'],
  [12.345, 'px', '12.3\u00a0px'],
  [0.623, 'px', '0.62\u00a0px'],
  [412.6, 'px', '413\u00a0px'],
  [1904, 'K', '1900\u00a0K'],
  [0.03124, 'linear', '3.1\u00a0%\u00a0of\u00a0white'],
  [-0.03124, 'linear', '−3.1\u00a0%\u00a0of\u00a0white'],
  [0.18, 'linear', '18\u00a0%\u00a0of\u00a0white'],
  [0.000_025, 'linear²', '0.50\u00a0%\u00a0of\u00a0white'],
  [19 / 255, 'code', '19\u00a0of\u00a0255'],
  [0.876, 'share', '88\u00a0%'],
  [8.363, '×', '8.4\u00a0×'],
  [0.9143, 'of 1', '0.91\u00a0of\u00a01'],
  [0.0002, '–', '0.00020'],
  [0.7, '–', '0.70'],
  [Number.NaN, 'px', 'not a number\u00a0px'],
  [Number.NEGATIVE_INFINITY, '–', '−∞'],
])('%f %s is written %s', (value, unit, text) => {
  expect(formatNumber(value, unit)).toBe(text)
})

test('a bound has no plus sign, and is not rounded over itself', () => {
  expect(formatBound(0.25, 'stops')).toBe('0.25\u00a0stops')
  expect(formatBound(0.5, 'stops')).toBe('0.5\u00a0stops')
})

test('colours are three numbers with one unit; long lists are told by their span', () => {
  expect(formatValues([0.0312, 0.0334, 0.0412], 'linear')).toBe(
    '3.1\u20023.3\u20024.1\u00a0%\u00a0of\u00a0white',
  )
  expect(formatValues([1, 2, 3, 4, 5], 'px')).toBe('5 values, 1.0 to 5.0\u00a0px')
  expect(formatValues([], 'px')).toBe('none')
})

test('frames, places, sizes and rates', () => {
  expect(formatFrames([12, 12])).toBe('frame 12')
  expect(formatFrames([12, 40])).toBe('frames 12 to 40')
  expect(formatFrameList([0, 12, 24])).toBe('frames 0, 12 and 24')
  expect(formatFrameList(Array.from({ length: 48 }, (_, i) => i))).toBe('48 frames from 0 to 47')
  expect(formatRegion({ x: 1, y: 2, width: 30, height: 40 })).toBe('30\u00a0×\u00a040\u00a0px at 1, 2')
  expect(formatBytes(2_688_739)).toBe('2.7\u00a0MB')
  expect(formatRate({ num: 24000, den: 1001 })).toBe('23.976 frames a second (24000/1001)')
  expect(formatRate({ num: 24, den: 1 })).toBe('24 frames a second')
})
