import { expect, it } from 'vitest'
import type { CheckResult, Tell } from '../engine/types.js'
import { tellsText } from './tells.js'

const tell = (name: string, over: Partial<Tell> = {}): Tell => ({
  tell: name,
  link: 'light',
  element: 'smoke',
  frames: [3, 20],
  region: { x: 10, y: 20, width: 30, height: 40 },
  unit: 'stops',
  measured: -1.41234,
  expected: 0,
  limit: 0.25,
  confidence: 0.8,
  sentence: `The ${name} are off.`,
  cause: 'a cause',
  remedy: 'a remedy',
  weight: 1,
  meant: false,
  ...over,
})
const check = (tells: Tell[], undecided: CheckResult['undecided'] = []): CheckResult => ({
  rendered: 'r.mov',
  framesLookedAt: [0],
  tells,
  undecided,
  ledger: [],
})

it('gives number, frames, place, cause and remedy', () => {
  const text = tellsText(check([tell('blacks')]), false)
  expect(text).toContain('blacks of smoke: The blacks are off.')
  expect(text).toContain('frames 3 to 20, 30×40 at 10, 20')
  expect(text).toContain('measured -1.4 stops, expected 0 stops, allowed ±0.25 stops, 80 % sure')
  expect(text).toContain('cause: a cause')
  expect(text).toContain('remedy: a remedy')
})

it('shows five first, and the rest when asked', () => {
  const many = ['a', 'b', 'c', 'd', 'e', 'f', 'g'].map((n) => tell(n))
  const few = tellsText(check(many), false)
  expect(few).toContain('e of smoke')
  expect(few).not.toContain('f of smoke')
  expect(few).toContain('2 more: see them with --all.')
  expect(tellsText(check(many), true)).toContain('g of smoke')
})

it('keeps meant ones quiet but counts them, and says what cannot be told', () => {
  const undecided = [{ tell: 'haze', link: 'air', why: 'no depth' }]
  const text = tellsText(check([tell('blacks', { meant: true })], undecided), false)
  expect(text).toBe('No tells.\n1 marked as meant.\ncannot tell: haze: no depth')
})
