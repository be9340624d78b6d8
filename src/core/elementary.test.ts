import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { exp, ln, log2, log10, pow } from './elementary.js'

const float = new Float64Array(1)
const bits = new BigInt64Array(float.buffer)

/** How many doubles lie between two of like sign. */
function apart(a: number, b: number): number {
  float[0] = a
  const first = bits[0]
  float[0] = b
  return Math.abs(Number(first - bits[0]))
}

const octave = fc.double({ min: -30, max: 30, noNaN: true })

describe('powers and logarithms', () => {
  it('are the doubles nearest to sixty digits of Python 3.11 decimal, or their neighbours', () => {
    const known = [
      [pow(0.0002468148722067827, 58.284509264726736), '5.384347505541576784912250044141707e-211'],
      [pow(1e308, 0.5), '1.000000000000000005489531814720228e154'],
      [pow(2, -0.5), '0.7071067811865475244008443621048490392848'],
      [pow(1.5, 1 / 2.4), '1.184053587375208593783925657671201'],
      [pow(0.18, 0.45), '0.46224543117757090586684480499672'],
      [exp(1), '2.718281828459045235360287471352662497757'],
      [exp(-20.5), '1.250152866386742628937551239e-9'],
      [ln(10), '2.302585092994045684017991454684364207601'],
      [log2(10), '3.321928094887362347870319429489390175865'],
      [log10(2), '0.3010299956639811952137388947244930267682'],
    ] as const
    for (const [got, digits] of known) expect(apart(got, Number(digits))).toBeLessThanOrEqual(1)
  })

  it('are exact where the answer is a whole number', () => {
    for (let a = 2; a < 40; a++) {
      for (let n = 1, whole = BigInt(a); whole < 2n ** 53n; n++, whole *= BigInt(a)) {
        expect(pow(a, n)).toBe(Number(whole))
      }
    }
    for (let n = -1022; n < 1024; n++) expect(log2(pow(2, n))).toBe(n)
    for (let n = 0; n < 23; n++) expect(log10(pow(10, n))).toBe(n)
  })

  it("lie within two units in the last place of this machine's own, whose makers promise one", () => {
    fc.assert(
      fc.property(octave, fc.double({ min: -32, max: 32, noNaN: true }), (o, y) => {
        const x = 2 ** o * 1.37
        if (Math.abs(y * o) < 1000) expect(apart(pow(x, y), x ** y)).toBeLessThanOrEqual(2)
        expect(apart(exp(y), Math.exp(y))).toBeLessThanOrEqual(2)
        expect(apart(ln(x), Math.log(x))).toBeLessThanOrEqual(2)
        expect(apart(log2(x), Math.log2(x))).toBeLessThanOrEqual(2)
        expect(apart(log10(x), Math.log10(x))).toBeLessThanOrEqual(2)
      }),
      { numRuns: 20_000 },
    )
  })

  it('keep the rules of the language for every odd pair, down to the smallest and up to the largest numbers', () => {
    const values = [0, 1, -1, 2, -2, 0.5, -0.5, 3, 1e308, 5e-324, -1e-310, 1e300]
    const odd = [...values, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN]
    for (const x of odd) {
      for (const y of odd) {
        const theirs = x ** y
        if (Number.isFinite(theirs) && theirs !== 0) {
          expect(apart(pow(x, y), theirs), `${x}^${y}`).toBeLessThanOrEqual(2)
        } else expect(pow(x, y), `${x}^${y}`).toBe(theirs)
      }
      for (const [own, theirs] of [
        [ln, Math.log],
        [log2, Math.log2],
        [log10, Math.log10],
        [exp, Math.exp],
      ] as const) {
        if (Number.isFinite(theirs(x)) && theirs(x) !== 0) {
          expect(apart(own(x), theirs(x)), `${x}`).toBeLessThanOrEqual(2)
        } else expect(own(x), `${x}`).toBe(theirs(x))
      }
    }
  })
})
