/** A disc whose coverage on every frame follows from geometry, its matte spoilt in known ways and mended. */
import { describe, expect, it } from 'vitest'
import { DISC, type DiscFilm, discBlur, discChatter, paintDisc } from '../../../../test/matting/disc.js'
import { type FloatImage, uniform } from '../../../core/index.js'
import { withMatte } from './light.js'
import { steadied } from './steady.js'
import { streaksBack } from './streak.js'
import { edgeBlocks, type Ways, waysBetween } from './ways.js'

/** As a key leaves it: light as it is, another coverage. */
function keyedAs(f: DiscFilm, truth: Float32Array, of: (a: number, p: number) => number): FloatImage {
  const data = new Float32Array(4 * truth.length)
  truth.forEach((a, p) => {
    const [x, y] = [p % f.width, Math.floor(p / f.width)]
    const tone = 0.4 + 0.1 * Math.sin((x - f.step[0]) / 5) * Math.sin(y / 4)
    const v = of(a, p)
    data.set([v * tone, v * 0.6 * tone, v * 0.4 * tone, v], 4 * p)
  })
  return { region: { x: 0, y: 0, width: f.width, height: f.height }, data }
}

function alphaOf({ data }: FloatImage): Float32Array {
  return data.filter((_, i) => i % 4 === 3)
}

/** Ways to a frame that lies so many frames on, from a flow that is a tenth too short. */
function waysTo(own: FloatImage, other: FloatImage, f: DiscFilm, frames: number): Ways {
  const short = (_x: number, _y: number, out: Float64Array) => {
    out[0] = 0.9 * frames * f.step[0]
    out[1] = 0.9 * frames * f.step[1]
  }
  return waysBetween(own, other, short, edgeBlocks(own))
}

describe('chatter of a matte', () => {
  const f: DiscFilm = {
    ...DISC,
    width: 160,
    height: 96,
    radius: 24,
    from: [40, 48],
    step: [17, 3],
    frames: 3,
  }
  const truth = Array.from({ length: 3 }, (_, n) => paintDisc(f, n))
  /** σ 0.03 where it is partly covered. */
  const shaken = truth.map(({ alpha }, n) =>
    keyedAs(f, alpha, (a, p) =>
      a <= 0 || a >= 1 ? a : Math.min(Math.max(a + 0.1 * (uniform(5, n, p, 0, 0) - 0.5), 0), 1),
    ),
  )

  it('goes down along its motion, and no edge becomes wider', () => {
    const made = shaken.map((own, n) => {
      const others = [n - 1, n + 1].flatMap((m) => {
        const image = shaken[m]
        return image === undefined ? [] : [{ image, ways: waysTo(own, image, f, m - n) }]
      })
      return steadied(own, others, edgeBlocks(own))
    })
    const [was, is] = [discChatter(f, truth, shaken.map(alphaOf)), discChatter(f, truth, made)]
    // The mean of three frames has a third of the variance of white noise; what two such means share goes out of their difference as well.
    expect(is / was).toBeLessThan(0.45)
    const lengthOf = (a: ArrayLike<number>) => discBlur(f, 1, a).ahead
    expect(lengthOf(made[1]!) / lengthOf(truth[1]!.alpha)).toBeGreaterThan(0.95)
    expect(lengthOf(made[1]!) / lengthOf(truth[1]!.alpha)).toBeLessThan(1.05)
  })

  it('stays where nothing on the other frame fits', () => {
    const own = shaken[1]!
    const gone = keyedAs(f, truth[1]!.alpha, () => 0)
    const made = steadied(own, [{ image: gone, ways: waysTo(own, gone, f, 1) }], edgeBlocks(own))
    expect(made).toEqual(alphaOf(own))
  })

  it('of a frame beside is not taken over by what is bare or whole, two pixels from any edge', () => {
    const own = keyedAs(f, truth[1]!.alpha, (a) => a)
    const veiled = keyedAs(f, truth[2]!.alpha, (a, p) => Math.min(Math.max(a, 0.02 + 0.01 * (p % 3)), 0.97))
    const made = steadied(own, [{ image: veiled, ways: waysTo(own, veiled, f, 1) }], edgeBlocks(own))
    const uniformAt = (p: number, value: number) => {
      for (let y = -2; y <= 2; y++)
        for (let x = -2; x <= 2; x++) if (truth[1]!.alpha[p + y * f.width + x] !== value) return false
      return true
    }
    let [looked, off] = [0, 0]
    for (let y = 2; y < f.height - 2; y++)
      for (let x = 2; x < f.width - 2; x++)
        for (const value of [0, 1])
          if (uniformAt(y * f.width + x, value)) {
            looked++
            if (made[y * f.width + x] !== value) off++
          }
    expect(looked).toBeGreaterThan(10_000)
    expect(off).toBe(0)
  })
})

describe('a streak that was cut', () => {
  // 60 px a frame at 180°: 30 px long.
  const f: DiscFilm = {
    ...DISC,
    width: 256,
    height: 96,
    radius: 32,
    from: [70, 48],
    step: [60, 0],
    frames: 3,
  }
  const cut = (a: number) => (a > 0.82 ? 1 : a < 0.08 ? 0 : a)
  const truth = [0, 1, 2].map((n) => paintDisc(f, n))
  const keyed = truth.map(({ alpha }) => keyedAs(f, alpha, cut))
  const own = keyed[1]!
  const [before, after] = [waysTo(own, keyed[0]!, f, -1), waysTo(own, keyed[2]!, f, 1)]
  const error = (a: ArrayLike<number>) => truth[1]!.alpha.reduce((s, t, p) => s + Math.abs(t - a[p]!), 0)

  it('has its length again, by the motion and the shutter that its middle tells', () => {
    const { alpha, shutter } = streaksBack(own, alphaOf(own), before, after, undefined)
    expect(shutter).toBeGreaterThan(0.475)
    expect(shutter).toBeLessThan(0.525)
    const [was, is, right] = [alphaOf(own), alpha, truth[1]!.alpha].map((a) => discBlur(f, 1, a))
    for (const side of ['behind', 'ahead'] as const) {
      expect(was![side] / right![side]).toBeLessThan(0.9)
      expect(is![side] / right![side]).toBeGreaterThan(0.95)
      expect(is![side] / right![side]).toBeLessThan(1.05)
    }
    expect(error(alpha) / error(alphaOf(own))).toBeLessThan(0.4)
  })

  it('is as long as a given shutter says', () => {
    const short = streaksBack(own, alphaOf(own), before, after, 0.3).alpha
    const long = streaksBack(own, alphaOf(own), before, after, 0.5).alpha
    expect(discBlur(f, 1, long).ahead).toBeGreaterThan(discBlur(f, 1, short).ahead)
    expect(error(long)).toBeLessThan(error(short))
  })

  it('stays as it is where the thing is thinner than its streak, and where nothing moves', () => {
    const thin: DiscFilm = { ...f, radius: 7 }
    const three = [0, 1, 2].map((n) => keyedAs(thin, paintDisc(thin, n).alpha, cut))
    const middle = three[1]!
    const ways = [0, 2].map((n) => waysTo(middle, three[n]!, thin, n - 1))
    expect(streaksBack(middle, alphaOf(middle), ways[0], ways[1], 0.5).alpha).toEqual(alphaOf(middle))
    const still = waysTo(own, own, { ...f, step: [0, 0] }, 1)
    expect(streaksBack(own, alphaOf(own), still, still, 0.5).alpha).toEqual(alphaOf(own))
  })
})

describe('light under another matte', () => {
  it('keeps its straight colour, and takes that of what is around where it had none', () => {
    const region = { x: 0, y: 0, width: 24, height: 3 }
    const image = { region, data: new Float32Array(4 * 72) }
    for (let p = 0; p < 72; p++) if (p % 24 < 10) image.data.set([0.4, 0.2, 0.1, 1], 4 * p)
    const alpha = Float32Array.from({ length: 72 }, (_, p) => (p % 24 < 9 ? 1 : p % 24 < 12 ? 0.5 : 0))
    const { data } = withMatte(image, alpha)
    for (const x of [9, 10, 11]) {
      const [r, g, b, a] = data.slice(4 * x, 4 * x + 4)
      expect([r, g, b].map((v) => v! / a!)).toEqual([0.4, 0.2, 0.1].map((v) => expect.closeTo(v, 5)))
      expect(a).toBe(0.5)
    }
    expect(Array.from(data.slice(0, 4))).toEqual(Array.from(image.data.slice(0, 4)))
    expect(data.slice(4 * 20, 4 * 21).every((v) => v === 0)).toBe(true)
  })
})
