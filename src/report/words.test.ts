import { expect, test } from 'vitest'
import { Problem } from '../core/index.js'
import { certainty, evidenceWords, findingWords, typeset } from './words.js'

test('each kind of evidence is a sentence', () => {
  const region = { x: 1, y: 2, width: 30, height: 40 }
  const measured = {
    kind: 'measured',
    frames: [0, 12],
    region,
    method: 'robust percentiles',
    spread: 0.002,
    confidence: 0.8,
  } as const
  expect(evidenceWords(measured, 'linear').replaceAll('\u00a0', ' ')).toBe(
    'Measured on frames 0 and 12, 30 × 40 px at 1, 2, by robust percentiles. Spread ±0.20 % of white. Fairly sure (80 %).',
  )
  const derived = {
    kind: 'derived',
    formula: 'e^(−βd)',
    inputs: { β: 0.001, d: 900 },
    confidence: 0.95,
  } as const
  expect(evidenceWords(derived, '–').replaceAll('\u00a0', ' ')).toBe(
    'Derived by e^(−βd), from β = 0.00100; d = 900. Sure (95 %).',
  )
  expect(evidenceWords({ kind: 'set' }, '–')).toBe('Set by hand.')
  expect(evidenceWords({ kind: 'set', note: 'from the slate' }, '–')).toBe('Set by hand: from the slate.')
  const assumed = { kind: 'assumed', why: 'the file has no tag', confidence: 0.5 } as const
  expect(evidenceWords(assumed, '–')).toContain('Assumed because the file has no tag. Not very sure')
})

test('certainty falls from sure to a guess', () => {
  expect([1, 0.8, 0.5, 0.1].map((c) => certainty(c).split(' (')[0])).toEqual([
    'sure',
    'fairly sure',
    'not very sure',
    'little more than a guess',
  ])
})

test('a finding leaves out where the file lies', () => {
  const p = new Problem({
    code: 'a.b',
    what: 'It stutters',
    where: '/home/x',
    received: '3 repeats',
    remedy: 'Use another',
  })
  expect(findingWords(p)).toBe('It stutters (3 repeats). Use another.')
})

test('sentences are set with capital, curved quotes and no line that begins with a sign', () => {
  const raw = `smoke's grain is 8.4 × the plate's: see \`lights\` or "straight"`
  expect(typeset(raw)).toBe('Smoke’s grain is 8.4\u00a0× the plate’s: see “lights” or “straight”')
  expect(typeset('the plate moves', false)).toBe('the plate moves')
})
