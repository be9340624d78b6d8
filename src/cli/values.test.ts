import { describe, expect, it } from 'vitest'
import { amount, count, frames, number } from './values.js'

const memory = amount('--memory')

describe('option values', () => {
  it('reads frame ranges with both ends', () => {
    expect(frames('0-23')).toEqual({ first: 0, count: 24 })
    expect(frames('7')).toEqual({ first: 7, count: 1 })
    expect(frames('7-7')).toEqual({ first: 7, count: 1 })
  })

  // Binary multiples, as in IEC 80000-13: K is 2^10 here, as usual for memory.
  it('reads amounts of memory', () => {
    expect(memory('512M')).toBe(536870912)
    expect(memory('2g')).toBe(2147483648)
    expect(memory('1.5K')).toBe(1536)
    expect(memory('4096')).toBe(4096)
  })

  it('reads numbers', () => {
    expect(number('-1.5')).toBe(-1.5)
    expect(number('2e-3')).toBe(0.002)
    expect(count('--workers')('8')).toBe(8)
  })

  it.each([
    [frames, '9-3'],
    [frames, '-1'],
    [frames, '1-'],
    [frames, 'all'],
    [memory, 'lots'],
    [memory, '0'],
    [memory, '2GB'],
    [memory, '-1G'],
    [number, 'one'],
    [number, ''],
    [number, 'Infinity'],
    [count('--workers'), '0'],
    [count('--workers'), '1.5'],
  ])('refuses with a Problem: %s %j', (read, text) => {
    expect(() => read(text)).toThrow(expect.objectContaining({ code: 'cli.value', exit: 2 }))
  })
})
