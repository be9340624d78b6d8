import { expect, it } from 'vitest'
import { lineAt, lineSpreadAt, noiseLine } from './line.js'

const known = (...of: Parameters<typeof noiseLine>) => {
  const line = noiseLine(...of)
  if (line === undefined) throw new Error('no line')
  return line
}

it('goes as far as its points carry it: by hand, of two points the spread is that of the straight line through both', () => {
  const [x1, x2, s] = [0.0067, 0.0076, 2e-6]
  const line = known([x1, x2], [4.4e-5, 4.6e-5], [s, s])
  const at = (x: number) => s * Math.hypot((x - x2) / (x1 - x2), (x - x1) / (x2 - x1))
  expect(lineSpreadAt(line, 1)).toBeCloseTo(at(1), 8)
  expect(lineSpreadAt(line, x1)).toBeCloseTo(s, 10)
  // More at white than the line itself says there: nothing is known of white.
  expect(lineSpreadAt(line, 1) / lineAt(line, 1)).toBeGreaterThan(1)
})

it('is surer between its points than beyond them', () => {
  const line = known([0.1, 0.2, 0.3], [1e-5, 2e-5, 3e-5], [1e-6, 1e-6, 1e-6])
  expect(lineSpreadAt(line, 0.2)).toBeCloseTo(1e-6 / Math.sqrt(3), 10)
  expect(lineSpreadAt(line, 1)).toBeGreaterThan(4e-6)
})
