import { expect, it } from 'vitest'
import type { Reading } from '../../../core/index.js'
import { compareBeside } from './beside.js'

const region = { x: 4, y: 5, width: 60, height: 60 }
const told = (value: number, spread = 0.1): Reading<number> => ({
  value,
  evidence: { kind: 'measured', frames: [0], method: 'edges', spread, confidence: 0.6 },
})
const of = (own: Reading<number>, beside: Reading<number>, softer = 0) =>
  compareBeside('card', [{ frame: 3, read: own, region }], beside, softer)

it('is quiet where an element is as soft as its place, or the difference is within its spreads', () => {
  expect(of(told(2), told(2.5)).verdicts).toEqual([])
  expect(of(told(2, 0.9), told(4)).verdicts).toEqual([])
  expect(of(told(0.3), told(0.8)).verdicts).toEqual([])
})

it('tells what is sharper, and the blur that it lacks', () => {
  const [v] = of(told(1), told(5)).verdicts
  expect(v).toMatchObject({ tell: 'softness', measured: 1, expected: 5, frames: [3], region })
  // Variances of discs add: √(25 − 1) = 4.9.
  expect(v?.remedy).toMatch(/4\.9 px/)
})

it('tells what is softer only where a blur was asked for', () => {
  expect(of(told(6), told(2)).verdicts).toEqual([])
  // √(5.8² − (6² − 2²)) = 1.28.
  expect(of(told(6), told(2), 5.8).verdicts[0]?.remedy).toMatch(/1\.3 px/)
})

it('cannot tell where either side does not', () => {
  expect(of({ cannotTell: 'no edges' }, told(2)).undecided[0]?.why).toBe('no edges')
  expect(of(told(2), { cannotTell: 'no place' }).undecided[0]?.why).toBe('no place')
})
