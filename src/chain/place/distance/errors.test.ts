/** Errors of the ways by drawing their inputs many times; what cannot be told; how ways are put together. */
import { describe, expect, it } from 'vitest'
import { normal } from '../../../../test/worlds/chance.js'
import { type Reading, told } from '../../../core/index.js'
import { combine } from './combine.js'
import { type Pixel, type Sight, sightOf } from './sight.js'
import { byGround, byHaze, bySize, type Length } from './ways.js'

const DRAWS = 4000
const m = (value: number, sd: number) => ({ value, sd })

function spread(draw: (k: (i: number) => number) => number): number {
  const all = Array.from({ length: DRAWS }, (_, n) => draw((i) => normal(5, n, i)))
  const mean = all.reduce((a, b) => a + b, 0) / DRAWS
  return Math.sqrt(all.reduce((a, b) => a + (b - mean) ** 2, 0) / DRAWS)
}

function metres(r: Reading<Length>): number {
  if (!told(r)) throw new Error(r.cannotTell)
  return r.value.metres
}

const sight = (focal: number, y1: number, y2: number, sd = 0, focalSd = 0): Sight =>
  sightOf(1920, 1080, m(focal, focalSd), {
    points: [
      [200, y1],
      [1700, y2],
    ],
    sd,
  }) as Sight

describe('the stated error is that of drawn inputs', () => {
  it('of ground', () => {
    const foot: Pixel = [1200, 700]
    const said = byGround(sight(2000, 500, 510, 2, 40), m(1.6, 0.05), foot, 1)
    const drawn = spread((k) =>
      metres(
        byGround(
          sight(2000 + 40 * k(0), 500 + 2 * k(1), 510 + 2 * k(2)),
          m(1.6 + 0.05 * k(3), 0),
          [foot[0], foot[1] + k(4)],
          0,
        ),
      ),
    )
    expect(told(said) && said.value.sd / drawn).toBeCloseTo(1, 1)
  })

  it('of size and of haze', () => {
    const size = bySize(m(2000, 40), m(1.8, 0.1), m(150, 2))
    const drawn = spread((k) =>
      metres(bySize(m(2000 + 40 * k(0), 0), m(1.8 + 0.1 * k(1), 0), m(150 + 2 * k(2), 0))),
    )
    expect(told(size) && size.value.sd / drawn).toBeCloseTo(1, 1)
    const haze = byHaze(m(10_000, 500), m(0.5, 0.02), 0.98)
    const hazed = spread((k) => metres(byHaze(m(10_000 + 500 * k(0), 0), m(0.5 + 0.02 * k(1), 0), 0.98)))
    expect(told(haze) && haze.value.sd / hazed).toBeCloseTo(1, 1)
    // V · ln 2 / ln 50 by hand.
    expect(metres(haze)).toBeCloseTo(0.98 * 1771.8, 0)
  })
})

describe('near the horizon', () => {
  const level = sight(2000, 540, 540, 2)
  const at = (below: number) => byGround(level, m(1.6, 0), [950, 540 + below], 1)

  it('the error grows with the square of the distance', () => {
    const [near, far] = [at(80), at(20)]
    if (!told(near) || !told(far)) throw new Error('told')
    const times = far.value.metres / near.value.metres
    // But for the earth's roundness.
    expect(far.value.sd / near.value.sd / times ** 2).toBeCloseTo(1, 0)
  })

  it('says from where on it may stand, and above the horizon that no ground lies there', () => {
    // ±1.73 px there: 5 px are no more than three of them. 1.6 · 2000 / (5 + 2 · 1.73) = 378 m on flat ground,
    // and 378 · (1 − 329 / 4950)² = 329 on a round one.
    expect(at(5)).toEqual({ cannotTell: expect.stringMatching(/anywhere from 329 m on/) })
    expect(at(0)).toEqual({ cannotTell: expect.stringMatching(/anywhere from/) })
    expect(at(-100)).toEqual({
      cannotTell: expect.stringMatching(/100 px above the horizon.*does not reach/),
    })
  })
})

describe('put together', () => {
  const way = (metres: number, own: number, shared = 0): Reading<Length> => ({
    value: { metres, sd: Math.sqrt(own * own + shared * shared), shared },
    evidence: { kind: 'derived', formula: '', inputs: {}, confidence: 0.7 },
  })

  it('by inverse variance; what is shared stays', () => {
    const both = combine({ a: way(10, 1, 0.2), b: way(12, 2, 0.24), c: { cannotTell: 'no' } })
    if (!told(both)) throw new Error(both.cannotTell)
    // (10/1 + 12/4) / (1 + 1/4) = 10.4; 1/√1.25 with (0.2 + 0.06)/1.25 beside it.
    expect(both.value.metres).toBeCloseTo(10.4, 9)
    expect(both.value.sd).toBeCloseTo(Math.sqrt(0.8 + 0.208 ** 2), 9)
  })

  it('says that ways contradict, and not which is right', () => {
    expect(combine({ ground: way(10, 0.5), haze: way(14, 1) })).toEqual({
      cannotTell: 'ground says 10.00 ± 0.50 m, haze says 14.0 ± 1.0 m: one of them is wrong',
    })
    expect(told(combine({ ground: way(10, 0.5), haze: way(13, 1) }))).toBe(true)
  })

  it('gives the reasons where nothing tells', () => {
    expect(combine({ ground: { cannotTell: 'no horizon' } })).toEqual({ cannotTell: 'ground: no horizon' })
  })
})
