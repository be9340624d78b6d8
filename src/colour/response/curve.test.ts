import { describe, expect, it } from 'vitest'
import { decodeResponse, encodeResponse, type ResponseChannel, responseSpread } from './curve.js'

const channel: ResponseChannel = {
  codes: [0.1, 0.3, 0.5, 0.9],
  lights: [0.02, 0.08, 0.32, 1.28],
  spreads: [0.1, 0.02, 0.02, 0.2],
  residual: 0.001,
  samples: 9,
}

describe("a measured curve's table", () => {
  it('meets its rows, and goes straight in stops between them', () => {
    const decode = decodeResponse(channel)
    channel.codes.forEach((code, i) => {
      expect(decode(code)).toBeCloseTo(channel.lights[i]!, 12)
    })
    expect(decode(0.2)).toBeCloseTo(0.04, 12) // half of two stops
    expect(decode(0.8)).toBeCloseTo(0.32 * 2 ** 1.5, 12)
  })

  it('goes on straight in light beyond its ends, where nothing was measured', () => {
    const decode = decodeResponse(channel)
    expect(decode(0)).toBeCloseTo(0.02 - 0.03, 12) // 0.06 of light over 0.2 of code
    expect(decode(1)).toBeCloseTo(1.28 + 0.24, 12)
    expect(responseSpread(channel, 0.05)).toBeUndefined()
    expect(responseSpread(channel, 0.2)).toBeCloseTo(0.06, 12)
    expect(decode(Number.NaN)).toBeNaN()
  })

  it('returns every code that it was given', () => {
    const [decode, encode] = [decodeResponse(channel), encodeResponse(channel)]
    for (let i = -20; i <= 120; i++) expect(encode(decode(i / 100))).toBeCloseTo(i / 100, 12)
  })

  it.each([
    { ...channel, codes: [0.1, 0.3, 0.3, 0.9] },
    { ...channel, lights: [0.02, 0.08, 0.07, 1.28] },
    { ...channel, lights: [0, 0.08, 0.32, 1.28] },
    { ...channel, lights: [0.02, 0.08] },
    { ...channel, codes: [0.1], lights: [0.1] },
    { ...channel, codes: [], lights: [] },
  ])('refuses a table that does not rise: $codes, $lights', (table) => {
    expect(() => decodeResponse(table)).toThrowError(
      expect.objectContaining({ code: 'colour.response-table' }),
    )
  })
})
