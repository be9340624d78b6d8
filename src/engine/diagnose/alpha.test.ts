import { describe, expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type CurveName, type PixelLayout } from '../../core/index.js'
import { alphaFinding, glowFinding } from './alpha.js'
import { kindOf } from './alphaKind.js'
import { AlphaMeter } from './alphaLook.js'
import { codesOf } from './still.js'

const layout: PixelLayout = { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: true }
const W = 200
const H = 120

interface Painted {
  /** Colour as stored, of cover and of the place from 0 to 1. */
  readonly colour: (a: number, at: number) => number
  readonly cover?: (x: number, y: number) => number
  readonly curve?: CurveName
  readonly float?: boolean
  readonly said?: 'straight' | 'premultiplied'
}

/** A round body with a soft edge 24 px wide, and nothing around it. */
const ball = (x: number, y: number) => Math.min(Math.max((52 - Math.hypot(x - 100, y - 60)) / 24, 0), 1)

/** Colours by the definitions of [porter1984]. */
function judged({ colour, cover = ball, curve = 'srgb', float = false, said = 'straight' }: Painted) {
  const own: PixelLayout = float ? { ...layout, bits: 32, float } : layout
  const encoding: ColourEncoding = {
    range: 'full',
    matrix: 'rgb',
    curve,
    primaries: 'bt709',
    siting: 'centre',
  }
  const native = allocateFrame(own, W, H)
  const store = (v: number) => (float ? v : Math.round(Math.min(Math.max(v, 0), 1) * 65535))
  for (let p = 0; p < W * H; p++) {
    const a = cover(p % W, Math.floor(p / W))
    for (let c = 0; c < 3; c++) {
      const plane = native.planes[c]
      if (plane !== undefined) plane.data[p] = store(colour(a, (p % W) / W) * (1 - 0.1 * c))
    }
    const plane = native.planes[3]
    if (plane !== undefined) plane.data[p] = store(a)
  }
  const meter = new AlphaMeter(own, encoding)
  meter.add(codesOf({ frame: 0, native }, encoding))
  const look = meter.look()
  const kind = kindOf(look, said)
  return { look, kind, finding: alphaFinding(look, kind, said, false, [0]) }
}

/** PQ and S-Log3 of linear light, diffuse white 1 = 203 cd/m²: ST 2084 and the maker's formula. */
const pq = (l: number) => {
  const y = ((Math.max(l, 0) * 203) / 10000) ** 0.1593017578125
  return ((0.8359375 + 18.8515625 * y) / (1 + 18.6875 * y)) ** 78.84375
}
const slog3 = (l: number) =>
  l >= 0.01125
    ? (420 + Math.log10((l + 0.01) / 0.19) * 261.5) / 1023
    : ((l * (171.2102946929 - 95)) / 0.01125 + 95) / 1023
const srgb = (l: number) => (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055)

describe('kind of alpha', () => {
  it.each([
    ['straight', (a: number) => (a > 0 ? 0.6 : 0), 'straight'],
    ['premultiplied', (a: number) => 0.6 * a, 'premultiplied'],
    ['over white', (a: number) => 0.5 * a + (1 - a) / 0.8, 'on white'],
    ['twice', (a: number) => 0.6 * a * a, 'doubly multiplied'],
  ])('%s is told by how colour goes with alpha', (_, colour, found) => {
    expect(judged({ colour }).kind.found).toBe(found)
  })

  it.each([
    ['straight', (a: number) => a ** 0.85, 'straight'],
    ['premultiplied', (a: number) => a ** 1.85, 'premultiplied'],
    ['twice', (a: number) => a ** 2.85, 'doubly multiplied'],
  ])('%s, of a flame whose rim is darker than its core, is told by its bounds', (_, colour, found) => {
    const { kind } = judged({ colour })
    expect(kind.found).toBe(found)
    expect(kind.confidence).toBeLessThan(0.8)
  })

  it.each([
    ['straight', 0.9],
    ['premultiplied', 0.75],
  ])('%s, of smoke lit at its rim', (found, confidence) => {
    const own = (a: number, at: number) => (0.2 + 0.6 * at) * Math.max(a, 0.02) ** -0.3
    const colour = (a: number, at: number) =>
      a === 0 ? 0 : Math.min(own(a, at), 1) * (found === 'straight' ? 1 : a)
    expect(judged({ colour }).kind).toMatchObject({ found, confidence: expect.closeTo(confidence, 0) })
  })

  it('is straight where one colour fills what is empty: premultiplied, it would shine there', () => {
    const { kind, look, finding } = judged({ colour: (a) => (a > 0 ? a ** 0.85 : 0.9) })
    expect(kind).toMatchObject({ found: 'straight', confidence: 0.8 })
    expect(finding.verdict).toBe('fine')
    expect(glowFinding(look, 'straight', 'straight', [0]).sentence).toContain('one flat colour')
  })

  it('of black soot cannot be told, and says what would tell', () => {
    const { finding } = judged({ colour: () => 0.001 })
    expect(finding.verdict).toBe('cannot tell')
    expect(finding.sentence).toContain('would tell')
  })

  it('in linear light is told apart from a multiplication of the codes', () => {
    const light = judged({ colour: (a) => srgb(0.5 * a) })
    expect(light.kind).toMatchObject({ found: 'premultiplied', domain: 'light' })
    expect(light.finding.verdict).toBe('fault')
    expect(judged({ colour: (a) => srgb(0.5) * a }).kind.domain).toBe('codes')
  })

  it.each([
    ['pq', pq],
    ['s-log3', slog3],
  ] as const)('of a file in %s', (curve, encode) => {
    const of = (colour: Painted['colour']) => judged({ colour, curve }).kind
    expect(of((a) => encode(a > 0 ? 2 : 0)).found).toBe('straight')
    expect(of((a) => encode(2 * a))).toMatchObject({ found: 'premultiplied', domain: 'light' })
    expect(of((a) => encode(2) * a)).toMatchObject({ found: 'premultiplied', domain: 'codes' })
  })

  it('of light beyond white in a float file knows no bounds', () => {
    const of = (colour: Painted['colour']) =>
      judged({ colour, curve: 'linear', float: true, said: 'premultiplied' }).kind.found
    expect(of((a) => 6 * a)).toBe('premultiplied')
    expect(of((a) => (a > 0 ? 6 : 0))).toBe('straight')
  })

  // Straight colour 0.6·α and a colour of 0.6 multiplied by α are the same numbers: [porter1984].
  it.each([
    ['straight', (a: number) => 0.6 * a],
    ['premultiplied', (a: number) => (a > 0 ? 0.6 : 0)],
  ] as const)(
    'where the format says %s and its pixels another, is never sure: a twin exists',
    (said, colour) => {
      const { kind, finding } = judged({ colour, said })
      expect(kind.found).not.toBe(said)
      expect(kind.confidence).toBeLessThanOrEqual(0.75)
      expect(finding.sentence).toContain('would look the same')
      expect(finding.remedy).toContain('settings that it was rendered with')
      // Where both agree there is less to doubt.
      const agreed = judged({ colour, said: kind.found as 'straight' | 'premultiplied' })
      expect(agreed.finding.verdict).toBe('fine')
      expect(agreed.kind.confidence).toBeGreaterThan(0.75)
    },
  )

  it('has the power that was painted', () => {
    for (const power of [0.5, 1, 1.7])
      expect(judged({ colour: (a) => 0.7 * a ** power }).look.codes?.middle).toBeCloseTo(power, 1)
  })

  it('that is the same everywhere says nothing of cover', () => {
    expect(judged({ colour: () => 0.5, cover: () => 0 }).finding.verdict).toBe('fault')
    expect(judged({ colour: () => 0.5, cover: () => 1 }).finding.verdict).toBe('fine')
  })
})
