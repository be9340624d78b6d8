import { describe, expect, it } from 'vitest'
import { addFrames, toFrames, toTimecode } from './timecode.js'

const NTSC = { num: 30000, den: 1001 }

describe('drop-frame timecode', () => {
  // SMPTE ST 12-1 counting; figures agree with the npm library smpte-timecode 1.3.6.
  it.each([
    [0, '00:00:00;00'],
    [1799, '00:00:59;29'],
    [1800, '00:01:00;02'],
    [17981, '00:09:59;29'],
    [17982, '00:10:00;00'],
    [107892, '01:00:00;00'],
    [2589407, '23:59:59;29'],
  ])('frame %i is %s', (n, text) => {
    expect(toTimecode(n, NTSC, true)).toBe(text)
    expect(toFrames(text, NTSC)).toBe(n)
  })

  it('counts 59.94 by four dropped numbers', () => {
    expect(toTimecode(3600, { num: 60000, den: 1001 }, true)).toBe('00:01:00;04')
  })

  it('refuses a number that is never counted', () => {
    expect(() => toFrames('00:01:00;00', NTSC)).toThrow(/timecode/)
  })
})

describe('addFrames', () => {
  it('moves on over the minute and past midnight', () => {
    expect(addFrames('01:00:59:23', 1, { num: 24, den: 1 })).toBe('01:01:00:00')
    expect(addFrames('23:59:59:24', 1, { num: 25, den: 1 })).toBe('00:00:00:00')
  })
})
