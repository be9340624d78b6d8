import { describe, expect, it } from 'vitest'
import { type Opened, plateFirst } from './roles.js'

const file = (path: string, more: Partial<Opened> = {}): Opened => ({
  path,
  kind: 'movie',
  width: 1920,
  height: 1080,
  alpha: false,
  ...more,
})

describe('of files that come at once', () => {
  it.each([
    [
      'what is cut out is no plate, however large',
      file('smoke', { alpha: true, width: 8000 }),
      file('plate'),
    ],
    ['a still beside a movie is no plate', file('muzzle', { kind: 'still', width: 8000 }), file('plate')],
    ['the larger is the plate', file('fire', { width: 1280 }), file('plate', { kind: 'sequence' })],
    ['of equal size the movie is the plate', file('fire', { kind: 'sequence' }), file('plate')],
  ])('%s', (_, element, plate) => {
    expect(plateFirst([element, plate])).toEqual([plate, element])
    expect(plateFirst([plate, element])).toEqual([plate, element])
  })

  it('equal ones keep their order', () => {
    expect(plateFirst([file('a'), file('b')]).map((f) => f.path)).toEqual(['a', 'b'])
  })
})
