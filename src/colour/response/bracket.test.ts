import { describe, expect, it } from 'vitest'
import { cameras, filmed, noise } from '../../../test/colour/cameras.js'
import { confidenceOf, type Reading, told } from '../../core/index.js'
import { type BracketShot, responseOfBracket } from './bracket.js'
import { decodeResponse, type Response, responseSpread } from './curve.js'

const GREY = 0.18

function bracket(
  camera: (light: number) => number,
  stops: readonly number[],
  sigma = 0,
  normal = noise(7),
): BracketShot[] {
  return stops.map((stop) => {
    const light = GREY * 2 ** stop
    return { stops: stop, code: filmed(camera, [light, light, light], sigma, normal) }
  })
}

function steps(from: number, to: number, step: number): number[] {
  return Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step)
}

function measured(reading: Reading<Response>): Response {
  if (!told(reading)) throw new Error(reading.cannotTell)
  return reading.value
}

function reason(reading: Reading<Response>): string {
  return 'cannotTell' in reading ? reading.cannotTell : ''
}

/** Errors in stops over the measured range, and how many spreads they are. */
function errors(response: Response, camera: (light: number) => number) {
  const out: { stops: number; spreads: number }[] = []
  for (const channel of response) {
    const decode = decodeResponse(channel)
    const [low, high] = [channel.lights[0]!, channel.lights.at(-1)!]
    for (let x = Math.log2(low); x <= Math.log2(high); x += 0.05) {
      const code = camera(2 ** x)
      const spread = responseSpread(channel, code)
      if (spread === undefined) continue
      const stops = Math.abs(Math.log2(decode(code)) - x)
      out.push({ stops, spreads: stops / spread })
    }
  }
  return out
}

const share = (values: readonly number[], limit: number) =>
  values.filter((v) => v < limit).length / values.length
const rms = (values: readonly number[]) => Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length)

describe.each(Object.entries(cameras))('bracketed grey card, curve %s', (_, camera) => {
  it.each([0.5, 1])('gives a curve without noise back to 0.04 stop, steps of %f', (step) => {
    const response = measured(responseOfBracket(bracket(camera, steps(-6, 6, step)), GREY, { frames: [0] }))
    expect(rms(errors(response, camera).map((e) => e.stops))).toBeLessThan(0.04)
    // Linear 0.18 is inside, and nearly exact.
    expect(decodeResponse(response[1])(camera(GREY))).toBeCloseTo(GREY, 2)
  })

  it.each([
    [0.5, 0.001],
    [1, 0.001],
    [0.5, 0.003],
    [1, 0.003],
  ])('stays inside the stated spread, steps of %f with noise %f', (step, sigma) => {
    const normal = noise(21)
    const all = Array.from({ length: 6 }, () => {
      const shots = bracket(camera, steps(-6, 6, step), sigma, normal)
      return errors(measured(responseOfBracket(shots, GREY, { frames: [0] })), camera)
    }).flat()
    // A normal error lies inside one, two and three spreads in 68, 95 and 99.7 % of the cases; the toe is biased.
    const spreads = all.map((e) => e.spreads)
    expect(share(spreads, 1)).toBeGreaterThan(0.62)
    expect(share(spreads, 2)).toBeGreaterThan(0.88)
    expect(share(spreads, 3)).toBeGreaterThan(0.96)
  })

  it('survives exposures that are off by 0.03 stop', () => {
    const normal = noise(5)
    const shots = bracket(camera, steps(-6, 6, 0.5), 0.001, normal).map((shot) => ({
      ...shot,
      stops: shot.stops + 0.03 * normal(),
    }))
    const found = errors(measured(responseOfBracket(shots, GREY, { frames: [0] })), camera)
    expect(rms(found.map((e) => e.stops))).toBeLessThan(0.06)
  })
})

describe('what a bracket can say', () => {
  it('leaves out what clips above or is lost in black, and says where it knows', () => {
    const response = measured(
      responseOfBracket(bracket(cameras.phone, steps(-12, 6, 0.5), 0.001), GREY, { frames: [0] }),
    )
    for (const channel of response) {
      expect(channel.lights.at(-1)!).toBeLessThanOrEqual(1.6)
      expect(channel.lights.at(-1)!).toBeGreaterThan(0.9)
      expect(channel.lights[0]!).toBeLessThan(0.01)
      expect(responseSpread(channel, 0.99)).toBeUndefined()
    }
    const told1 = responseOfBracket(bracket(cameras.log, steps(-4, 9, 1)), GREY, { frames: [0], clip: 0.7 })
    expect(measured(told1)[0].codes.at(-1)).toBeLessThan(0.7)
  })

  it('is less sure with more noise, and says how it was measured', () => {
    const of = (sigma: number) =>
      responseOfBracket(bracket(cameras.bt709, steps(-5, 3, 1), sigma), GREY, { frames: [3, 9] })
    const [clean, noisy] = [of(0), of(0.006)]
    if (!told(clean) || !told(noisy)) throw new Error('told nothing')
    expect(confidenceOf(clean.evidence)).toBeGreaterThan(confidenceOf(noisy.evidence) + 0.1)
    expect(clean.evidence).toMatchObject({
      kind: 'measured',
      frames: [3, 9],
      method: '9 exposures of a card of 18 % reflectance',
    })
  })

  it('cannot tell from too few, too close, clipped or contradicting exposures', () => {
    const of = (shots: readonly BracketShot[]) => reason(responseOfBracket(shots, GREY, { frames: [0] }))
    expect(of([])).toContain('there are 0 over 0.0 stops')
    expect(of(bracket(cameras.log, [-2, 0, 2, 4]))).toContain('red: a curve needs 5 exposures over 3 stops')
    expect(of(bracket(cameras.log, steps(-1, 1, 0.25)))).toContain('there are 9 over 2.0 stops')
    expect(of(bracket(cameras.bt709, steps(1, 9, 1)))).toContain('clipped')
    expect(of(bracket(cameras.bt709, steps(-20, -9, 1)))).toContain('lost in black')
    const shuffled = bracket(cameras.bt709, steps(-5, 2, 1)).map((shot, i, all) => ({
      ...shot,
      code: all[(i * 3) % all.length]!.code,
    }))
    expect(of(shuffled)).toMatch(/agree|needs/)
    const auto = bracket(() => 0.4, steps(-4, 4, 1), 0.001)
    expect(of(auto)).toContain('needs 5 exposures')
    expect(of(bracket(() => Number.NaN, steps(-4, 4, 1)))).toContain('there are 0')
  })

  it('is the same whatever the order of the shots', () => {
    const shots = bracket(cameras.phone, steps(-5, 3, 0.5), 0.002)
    const other = [...shots].reverse()
    expect(responseOfBracket(other, GREY, { frames: [0] })).toEqual(
      responseOfBracket(shots, GREY, { frames: [0] }),
    )
  })

  it('refuses a card that reflects nothing or more than all', () => {
    for (const reflectance of [0, -0.18, 18, Number.NaN]) {
      expect(() => responseOfBracket([], reflectance, { frames: [0] })).toThrowError(
        expect.objectContaining({ code: 'colour.response-card' }),
      )
    }
  })
})
