import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, type Rgb, uniform } from '../../../core/index.js'
import type { Seen, SeenElement } from '../../compare.js'
import { compareGrain, lookAtGrain } from './compare.js'
import { shownInBlock } from './inBlock.js'
import type { GrainMeasure } from './measure.js'
import { type GrainModel, grainModel } from './model.js'

const SIZE = 256
const LEVEL = 0.2
const SIGMA = 0.004
const frame = { x: 0, y: 0, width: SIZE, height: SIZE }

/** A plate whose grain is white and has the same deviation at every level. */
const even = [SIGMA ** 2, SIGMA ** 2]
const sure = even.map((v) => 0.03 * v)
const white: [number, number, number, number] = [0, 0, 0, 0]
const norm: GrainMeasure = {
  levels: [0.01, 1],
  variance: [even, even, even],
  lags: [white, white, white],
  mix: [0, 0, 0],
  cross: [white, white, white],
  spread: [sure, sure, sure],
  lagSpread: [0, 0, 0],
  lines: [],
  shown: {
    variance: [even, even, even],
    lags: [white, white, white],
    mix: [0, 0, 0],
    cross: [white, white, white],
    coarse: undefined,
  },
}

/** Flat light with white noise of this deviation; sum of four uniforms, near enough to a bell. */
function flat(sigma: number, seed: number): FloatImage {
  const image = emptyImage(frame)
  for (let p = 0; p < SIZE * SIZE; p++) {
    for (const c of [0, 1, 2]) {
      let sum = -2
      for (let k = 0; k < 4; k++) sum += uniform(seed, k, p, 0, c)
      image.data[4 * p + c] = LEVEL + sigma * Math.sqrt(3) * sum
    }
    image.data[4 * p + 3] = 1
  }
  return image
}

/**
 * An element of full cover on the left half, with grain of `sigma` added; the delivery errs by `error` everywhere.
 */
function look(sigma: number, error: number, known = norm, fitted?: GrainModel, noise = flat(sigma, 2)) {
  const plate = flat(SIGMA, 1)
  const codec = flat(error, 3)
  const predicted = emptyImage(frame)
  const rendered = emptyImage(frame)
  const alpha = new Float32Array(SIZE * SIZE)
  const touched = new Uint8Array(SIZE * SIZE)
  for (let p = 0; p < SIZE * SIZE; p++) {
    const covered = p % SIZE < SIZE / 2
    alpha[p] = covered ? 1 : 0
    touched[p] = covered ? 1 : 0
    for (const c of [0, 1, 2]) {
      const i = 4 * p + c
      predicted.data[i] = covered ? LEVEL : (plate.data[i] as number)
      const grain = covered ? (noise.data[i] as number) - LEVEL : 0
      rendered.data[i] = (predicted.data[i] as number) + grain + (codec.data[i] as number) - LEVEL
    }
  }
  const seen: Seen = {
    frame: 0,
    plate,
    rendered,
    predicted,
    plateCode: plate,
    renderedCode: rendered,
    plateAfter: undefined,
    renderedAfter: undefined,
    keep: alpha.map((a) => 1 - a),
    touched,
  }
  const element: SeenElement = {
    id: 'soot',
    alpha,
    light: new Float32Array(SIZE * SIZE),
    region: { ...frame, width: SIZE / 2 },
    box: { left: 0, top: 0, right: SIZE / 2, bottom: SIZE },
    bend: undefined,
    holdout: undefined,
  }
  const none: Rgb = [0, 0, 0]
  const held = { norm: known, clip: 1, own: none, codes }
  return compareGrain('soot', [lookAtGrain(seen, element, held)], known, fitted, codes)
}

/** Codes that are light, with [bt709]'s shares. */
const K = [0.2126, 0.7152, 0.0722] as const
const codes = { slope: () => 1, luma: { kr: K[0], kb: K[2] } }

/** The same noise with its luma and its colour times something. */
function parted(luma: number, colour: number): FloatImage {
  const noise = flat(SIGMA, 2)
  for (let i = 0; i < noise.data.length; i += 4) {
    const e = K.map((_, c) => (noise.data[i + c] as number) - LEVEL)
    const y = K.reduce((s, k, c) => s + k * (e[c] as number), 0)
    for (const c of [0, 1, 2]) noise.data[i + c] = LEVEL + luma * y + colour * ((e[c] as number) - y)
  }
  return noise
}

const parts = parted(0, 1)

const tells = (c: ReturnType<typeof look>) => c.verdicts.map((v) => v.tell)
const unsure = (c: ReturnType<typeof look>) => c.undecided.map((u) => u.tell)

describe('grain in the finished file', () => {
  it('is as it should be when topped up to the level, and its ratio is told', () => {
    const c = look(SIGMA, 0)
    expect(tells(c)).toEqual([])
    for (const r of c.measured.ratio ?? []) expect(r).toBeCloseTo(1, 1)
  })

  it.each([
    ['none', 0],
    ['half', 0.5 * SIGMA],
    ['double', 2 * SIGMA],
  ])('tells when there is %s of it', (_, sigma) => {
    expect(tells(look(sigma, 0))).toContain('grain-amount')
  })

  // A plate of next to no grain in a delivery of coarse codes: the codes' own error is no grain.
  it('cannot tell where the delivery errs by more than the grain', () => {
    const c = look(SIGMA, 3 * SIGMA)
    expect(tells(c)).toEqual([])
    expect(unsure(c)).toEqual(expect.arrayContaining(['grain-amount', 'grain-size']))
    expect(c.undecided[0]?.why).toMatch(/delivery/)
  })

  // σ² known to a half, one standard deviation: two of those leave σ open by half of itself.
  it('is quiet where the plate’s own grain is hardly known', () => {
    const half = even.map((v) => 0.5 * v)
    const hardly: GrainMeasure = { ...norm, spread: [half, half, half] }
    expect(tells(look(0.55 * SIGMA, 0, hardly))).not.toContain('grain-amount')
    expect(tells(look(0.2 * SIGMA, 0, hardly))).toContain('grain-amount')
  })

  it('says what helps: by whether the document knows the grain, and how much of it', () => {
    const document = (share: number) =>
      grainModel({
        ...{ levels: norm.levels, variance: [...even, ...even, ...even].map((v) => share * v) },
        ...{ correlation: [], mix: [], cross: [], coarse: [], coarseSize: [], coarseMix: [] },
      })
    const remedy = (sigma: number, fitted?: GrainModel) =>
      look(sigma, 0, norm, fitted).verdicts.find((v) => v.tell === 'grain-amount')?.remedy
    expect(remedy(0.5 * SIGMA)).toMatch(/^Fit again, so that/)
    expect(remedy(0.5 * SIGMA, document(1))).toMatch(/codec/)
    expect(remedy(0.5 * SIGMA, document(0.25))).toMatch(/sensor\.grainVariance to 4\.0 ×/)
    expect(remedy(2 * SIGMA, document(4))).toMatch(/sensor\.grainVariance to 0\.25 ×/)
    expect(remedy(2 * SIGMA, document(1))).toMatch(/sensor\.elementVariance/)
  })

  it.each([
    ['no colour', 1, 0, /0\.0 × the plate's colour .* its luma is right \(1\.0/],
    ['no luma', 0, 1, /0\.0 × the plate's luma .* its colour is right \((1\.0|0\.9)/],
    ['half the colour', 1, 0.5, /0\.5 × the plate's colour/],
    ['twice the luma', 2, 1, /2\.0 × the plate's luma/],
    ['twice the luma, half the colour', 2, 0.5, /0\.5 × the plate's colour .* its luma has 2\.0 ×/],
  ])('names what is wrong where it has %s', (_, luma, colour, sentence) => {
    const c = look(SIGMA, 0, norm, undefined, parted(luma, colour))
    expect(tells(c)).toEqual(['grain-colour'])
    expect(c.verdicts[0]?.sentence).toMatch(sentence)
    const [y, of] = c.measured.grainApart as [number, number]
    expect(Math.abs(y - luma)).toBeLessThan(0.05)
    expect(Math.abs(of - colour)).toBeLessThan(0.05)
  })

  // Luma and colour wrong alike are one fault: too much or too little grain.
  it('says so once where both are wrong alike', () => {
    expect(tells(look(2 * SIGMA, 0))).toEqual(['grain-amount'])
  })

  // A fifth of the channels' grain is their own: colour is the less of it by as much.
  it('holds colour against what the channels have in common', () => {
    const mix = [0.8, 0.8, 0.8] as const
    const same: GrainMeasure = { ...norm, mix, shown: { ...norm.shown, mix } }
    const common = parted(1, 0)
    // Luma of three independent channels: σ² Σ k²; of channels alike by ρ: σ² (ρ + (1 − ρ) Σ k²).
    const squares = K.reduce((s, k) => s + k * k, 0)
    const luma = Math.sqrt((0.8 + 0.2 * squares) / squares)
    for (let i = 0; i < common.data.length; i++) {
      if (i % 4 === 3) continue
      const own = (parts.data[i] as number) - LEVEL
      common.data[i] = LEVEL + luma * ((common.data[i] as number) - LEVEL) + Math.sqrt(0.2) * own
    }
    expect(tells(look(SIGMA, 0, same, undefined, common))).toEqual([])
    expect(tells(look(SIGMA, 0, same))).toEqual(['grain-colour'])
  })

  it('knows that blotches go with a block’s mean', () => {
    const half = [0.5, 0.5]
    const zero = [0, 0, 0] as const
    const coarse = { size: 16, sizeSpread: 0, spread: zero, mix: zero, mixSpread: 0 }
    const blotched = {
      ...norm,
      shown: { ...norm.shown, coarse: { ...coarse, share: [half, half, half] as const } },
    }
    // exp(−¾ m²/16²) over all pairs of 16 columns: mean 0.8915 (∫ 2 (1 − u) exp(−¾ u²) du from 0 to 1); both axes 0.795.
    // Of white noise 1/256 goes. Kept: ½ · 0.205 + ½ · 0.996.
    expect(shownInBlock(blotched, 1, 0.2).variance / SIGMA ** 2).toBeCloseTo(0.601, 2)
    expect(shownInBlock(norm, 1, 0.2).variance / SIGMA ** 2).toBeCloseTo(1 - 1 / 256, 6)
  })
})
