/** The curves against OpenColorIO on 1,000 random points each; its own constants where it has the curve built in. */
import { describe, expect, it } from 'vitest'
import { askOpenColourIo, noOpenColourIo, openColourIo } from '../../../test/colour/openColourIo.js'
import { type CurveName, type PrimariesName, uniform } from '../../core/index.js'
import { type AdaptationName, conversion } from '../primaries.js'
import { curveOf } from './index.js'

const POINTS = 1000
/** No approximate logarithms. */
const EXACT = `
def exact(t, points, inverse=False):
    d = O.TRANSFORM_DIR_INVERSE if inverse else O.TRANSFORM_DIR_FORWARD
    cpu = O.Config.CreateRaw().getProcessor(t, d).getOptimizedCPUProcessor(O.OPTIMIZATION_NONE)
    return [cpu.applyRGB(p) for p in points]
`
const BUILT_IN = `${EXACT}
print(json.dumps(exact(O.BuiltinTransform(job['name']), job['points'], job['inverse'])))
`
const CAMERA = `${EXACT}
t = O.LogCameraTransform([job['cut']] * 3)
t.setBase(job['base'])
t.setLinSideSlopeValue([job['a']] * 3)
t.setLinSideOffsetValue([job['b']] * 3)
t.setLogSideSlopeValue([job['c']] * 3)
t.setLogSideOffsetValue([job['d']] * 3)
t.setLinearSlopeValue([job['e']] * 3)
print(json.dumps(exact(t, job['points'], True)))
`

type Triple = [number, number, number]
const greys = (min: number, max: number, seed: number): number[] =>
  Array.from({ length: POINTS }, (_, i) => Math.fround(min + (max - min) * uniform(seed, i, 0, 0, 0)))
const builtIn = (name: string, points: readonly Triple[], inverse = false) =>
  askOpenColourIo<Triple[]>(BUILT_IN, { name, points, inverse })
const grey = (v: number): Triple => [v, v, v]

/** Of the code; their arithmetic is single precision. */
const LIMIT = 2e-6
/** Their sRGB meets its line in slope as well, slope 12.9232. */
const SRGB = 1e-5

/** Curve, gamut, transform to AP0 and its adaptation, lowest and highest code: Canon's are tables that end at 0 and 1. */
const cameras: readonly (readonly [CurveName, PrimariesName, string, AdaptationName, number, number])[] = [
  ['s-log3', 's-gamut3', 'SONY_SLOG3-SGAMUT3', 'cat02', -0.1, 1.1],
  ['s-log3', 's-gamut3-cine', 'SONY_SLOG3-SGAMUT3.CINE', 'cat02', -0.1, 1.1],
  ['logc3-ei800', 'arri-wide-gamut-3', 'ARRI_ALEXA-LOGC-EI800-AWG', 'cat02', -0.1, 1.1],
  ['v-log', 'v-gamut', 'PANASONIC_VLOG-VGAMUT', 'bradford', -0.1, 1.1],
  ['canon-log-2', 'cinema-gamut', 'CANON_CLOG2-CGAMUT', 'cat02', 0, 1],
  ['canon-log-3', 'cinema-gamut', 'CANON_CLOG3-CGAMUT', 'cat02', 0, 1],
  ['log3g10', 'red-wide-gamut', 'RED_LOG3G10-RWG', 'bradford', -0.1, 1.1],
  ['acescc', 'aces-ap1', 'ACEScc', 'bradford', -0.3, 1.1],
  ['acescct', 'aces-ap1', 'ACEScct', 'bradford', -0.1, 1.1],
]

describe.skipIf(openColourIo === undefined)(`OpenColorIO ${openColourIo ?? `(${noOpenColourIo})`}`, () => {
  it.each(cameras)(
    '%s, %s: curve to 2e-6 of the code, matrix to 1e-5',
    (curve, gamut, name, by, low, high) => {
      const { encode, decode } = curveOf(curve)
      const codes = greys(low, high, 7)
      const white = encode(1)
      // One channel at white, the others 6 stops below: with ACEScc, no result may be negative there.
      const dark = 2 ** -6
      const black = encode(dark)
      const axes: Triple[] = [0, 1, 2].map((i) => [0, 1, 2].map((c) => (c === i ? white : black)) as Triple)
      const light = builtIn(`${name}_to_ACES2065-1`, [...codes.map(grey), ...axes])
      codes.forEach((code, i) => {
        expect(Math.abs(encode(light[i]![1]) - code)).toBeLessThan(LIMIT)
        expect(Math.abs(decode(code) - light[i]![1])).toBeLessThan(2e-5 * (Math.abs(decode(code)) + 0.1))
      })
      const matrix = conversion(gamut, 'aces-ap0', by)
      matrix.forEach((m, i) => {
        const seen = light[POINTS + (i % 3)]![Math.floor(i / 3)]!
        // Rows add up to 1: the other two channels give (1 − m) of the dark.
        expect(Math.abs(seen - m - dark * (1 - m))).toBeLessThan(1e-5)
      })
    },
  )

  /** No transform of its own: its general form, with the constants of the makers' documents typed again. */
  const C4 = { a: (2 ** 18 - 16) / 117.45, b: 64, c: 928 / 1023 / 14, d: 95 / 1023 - (6 * 928) / 1023 / 14 }
  it.each([
    ['logc3-ei160', 10, 5.555556, 0.080216, 0.269036, 0.381991, 0.005561, 5.842037],
    ['logc3-ei320', 10, 5.555556, 0.068768, 0.259627, 0.383508, 0.007622, 5.637732],
    ['logc3-ei500', 10, 5.555556, 0.060939, 0.253569, 0.384493, 0.009031, 5.506188],
    ['logc4', 2, C4.a, C4.b, C4.c, C4.d, -0.018056996, 8.80303321],
    ['film-gen5', Math.E, 1, 0.00549407243, 0.0869287607, 0.530013339, 0.005, 8.28360593],
    ['d-log', 10, 0.9892, 0.0108, 0.256663, 0.584555, 0.0078, 6.025],
    ['f-log2', 10, 5.555556, 0.064829, 0.245281, 0.384316, 0.000889, 8.799461],
  ] as const)('%s: its LogCameraTransform to 2e-6 of the code', (curve, base, a, b, c, d, cut, e) => {
    const { encode } = curveOf(curve)
    const codes = greys(-0.1, 1.1, 11)
    const light = askOpenColourIo<Triple[]>(CAMERA, {
      base,
      a,
      b,
      c,
      d,
      cut,
      e,
      points: codes.map(grey),
    })
    codes.forEach((code, i) => {
      // Its form makes the pieces meet, the maker's D-Log does not.
      expect(Math.abs(encode(light[i]![0]) - code)).toBeLessThan(curve === 'd-log' ? 3e-6 : LIMIT)
    })
  })

  it('pq: 100 cd/m² a unit there, 203 here', () => {
    const codes = greys(0.05, 1, 13)
    const light = builtIn('CURVE - ST-2084_to_LINEAR', codes.map(grey))
    const { encode } = curveOf('pq')
    codes.forEach((code, i) => {
      expect(Math.abs(encode(light[i]![0] / 2.03) - code)).toBeLessThan(LIMIT)
    })
  })

  it('hlg: display light of 1000 cd/m² there, through the system gamma of 1.2; scene light here', () => {
    const codes = greys(0.05, 1, 19)
    const light = builtIn('DISPLAY - CIE-XYZ-D65_to_REC.2100-HLG-1000nit', codes.map(grey), true)
    const { encode, decode } = curveOf('hlg')
    codes.forEach((code, i) => {
      const scene = (light[i]![1] / 10) ** (1 / 1.2)
      expect(Math.abs(encode(decode(1) * scene) - code)).toBeLessThan(LIMIT)
    })
  })

  it.each([
    ['srgb', 'CIE-XYZ-D65_to_sRGB'],
    ['gamma22', 'CIE-XYZ-D65_to_G2.2-REC.709'],
    ['bt1886', 'CIE-XYZ-D65_to_REC.1886-REC.709'],
    ['gamma24', 'CIE-XYZ-D65_to_REC.1886-REC.2020'],
    ['gamma26', 'CIE-XYZ-D65_to_G2.6-P3-D65'],
  ] as const)('%s: %s, of greys', (curve, name) => {
    const codes = greys(0.01, 1, 17)
    const light = builtIn(`DISPLAY - ${name}`, codes.map(grey), true)
    const { encode } = curveOf(curve)
    codes.forEach((code, i) => {
      expect(Math.abs(encode(light[i]![1]) - code)).toBeLessThan(curve === 'srgb' ? SRGB : LIMIT)
    })
  })
})
