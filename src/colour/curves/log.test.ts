/** Cameras' and the Academy's logarithmic curves against what others say of them. */
import { describe, expect, it } from 'vitest'
import type { CurveName } from '../../core/index.js'
import { curveOf } from './index.js'

/** Light, then codes: colour-science 0.4.6, frozen. */
const LIGHT = [0, 0.01, 0.18, 0.9, 1]
const frozen: readonly (readonly [CurveName, readonly number[]])[] = [
  ['s-log3', [0.09286413, 0.15908356, 0.41055718, 0.58445284, 0.59602734]],
  ['logc3-ei800', [0.092809, 0.14648555, 0.39100683, 0.55943189, 0.57063156]],
  ['logc4', [0.09286413, 0.12082943, 0.27839584, 0.41795936, 0.42751936]],
  ['v-log', [0.125, 0.18099969, 0.42331145, 0.58816744, 0.5991177]],
  ['canon-log-2', [0.09286413, 0.16381804, 0.39825469, 0.56230426, 0.57322928]],
  ['canon-log-3', [0.12512219, 0.14707197, 0.34338937, 0.56447358, 0.58027779]],
  ['log3g10', [0.09155149, 0.13789871, 0.33333291, 0.48336053, 0.49344852]],
  ['film-gen5', [0.09246575, 0.16775531, 0.38356164, 0.52138353, 0.53048962]],
  ['d-log', [0.0929, 0.15228381, 0.39876456, 0.57294443, 0.584555]],
  ['apple-log', [0.15047645, 0.20855532, 0.48827246, 0.6816868, 0.69455298]],
  ['f-log2', [0.092864, 0.15879748, 0.39100724, 0.55713236, 0.56821937]],
  ['acescc', [-0.35844749, 0.17557898, 0.4135884, 0.54611854, 0.55479452]],
  ['acescct', [0.07290553, 0.17557898, 0.4135884, 0.54611854, 0.55479452]],
]

describe('light to code', () => {
  it.each(frozen)('%s as colour-science 0.4.6 gives it, and back', (name, codes) => {
    const { encode, decode } = curveOf(name)
    LIGHT.forEach((light, i) => {
      expect(Math.abs(encode(light) - codes[i]!)).toBeLessThan(1e-8)
      // Frozen codes have 8 digits; the flattest piece (black of ACEScc aside) gives light 0.3 times as fast.
      if (name !== 'acescc' || light > 0) expect(Math.abs(decode(codes[i]!) - light)).toBeLessThan(2e-7)
    })
  })

  it.each([
    ['s-log3', 38.42],
    ['logc3-ei800', 55.08],
    ['logc4', 469.8],
    ['v-log', 46.09],
    ['apple-log', 12],
    ['log3g10', 184.3],
  ] as const)('code 1 of %s is %f (colour-science 0.4.6)', (name, light) => {
    expect(curveOf(name).decode(1) / light).toBeCloseTo(1, 3)
  })
})

/** What makers print for 0, 18 and 90 % reflectance. */
describe('published codes', () => {
  it.each([
    ['v-log', [128, 433, 602], 'V-Log/V-Gamut Reference Manual, figure 2.2'],
    ['s-log3', [95, 420, 598], 'Technical Summary for S-Gamut3.Cine/S-Log3, as colour-science quotes it'],
    ['f-log2', [95, 400, 570], 'F-Log2 Data Sheet 1.0, as colour-science quotes it'],
  ] as const)('%s is %j of 10 bits: %s', (name, codes, _source) => {
    const seen = [0, 0.18, 0.9].map((light) => Math.round(1023 * curveOf(name).encode(light)))
    expect(seen).toEqual(codes)
  })

  it('V-Log of 12 bits is printed as four times its code of 10: 512, 1732, 2408', () => {
    const seen = [0, 0.18, 0.9].map((light) => 4 * Math.round(1023 * curveOf('v-log').encode(light)))
    expect(seen).toEqual([512, 1732, 2408])
  })

  it('18 % grey of LogC3 is 400 of 1023 at every exposure index (ALEXA Log C Curve, from a book that quotes it)', () => {
    for (const index of [160, 200, 250, 320, 400, 500, 640, 800] as const) {
      expect(Math.abs(1023 * curveOf(`logc3-ei${index}`).greyCode - 400)).toBeLessThan(0.5)
    }
  })

  it('18 % grey of Log3G10 is a third, ten stops under code 1 (its white paper, from memory)', () => {
    expect(curveOf('log3g10').greyCode).toBeCloseTo(1 / 3, 6)
    expect(Math.log2(curveOf('log3g10').decode(1) / 0.18)).toBeCloseTo(10, 2)
  })
})

/**
 * LogC3 by exposure index: the camera maker's own decoders in the Academy's transforms (`idt-alexav3-logC-EI….ctl`,
 * 10 March 2012): end of the line in code, then d, c, b of the logarithm, and offset and slope of the line. They round the
 * sixth digit otherwise than the table does.
 */
const decoders: readonly (readonly [CurveName, number, number, number, number, number, number])[] = [
  ['logc3-ei160', 0.125266, 0.381991, 0.269035, 0.080216, 0.092778, 5.842031],
  ['logc3-ei200', 0.128643, 0.382478, 0.266007, 0.07662, 0.092782, 5.77626],
  ['logc3-ei250', 0.132022, 0.382966, 0.262978, 0.07294, 0.092786, 5.710488],
  ['logc3-ei400', 0.139143, 0.384, 0.256598, 0.0649, 0.092795, 5.571955],
  ['logc3-ei640', 0.146271, 0.38504, 0.250218, 0.056443, 0.092805, 5.433421],
  ['logc3-ei800', 0.149659, 0.385537, 0.247189, 0.052272, 0.092809, 5.36765],
]

describe('LogC3 by exposure index', () => {
  it.each(decoders)('%s decodes as the Academy’s transform does', (name, cut, d, c, b, f, e) => {
    const { encode } = curveOf(name)
    for (let i = -50; i <= 1050; i++) {
      const code = i / 1000
      const light = code > cut ? (10 ** ((code - d) / c) - b) / 5.555556 : (code - f) / e
      expect(Math.abs(encode(light) - code)).toBeLessThan(4e-6)
    }
  })

  it('at every index holds the table’s last column, the code at the cut', () => {
    const cuts = { 160: 0.125266, 200: 0.128643, 250: 0.132021, 320: 0.135761, 400: 0.139142, 500: 0.142526 }
    const at = { 160: 0.005561, 200: 0.006208, 250: 0.006871, 320: 0.007622, 400: 0.008318, 500: 0.009031 }
    for (const index of [160, 200, 250, 320, 400, 500] as const) {
      expect(Math.abs(curveOf(`logc3-ei${index}`).encode(at[index]) - cuts[index])).toBeLessThan(3e-6)
    }
  })
})

describe('below black', () => {
  /** By hand from the published lines and mirrored branches. */
  it.each([
    ['s-log3', -0.01, (95 - (0.01 * 76.2102946929) / 0.01125) / 1023],
    ['logc3-ei800', -0.01, 0.092809 - 0.05367655],
    ['logc4', -0.018056996, 0],
    ['v-log', -0.01, 0.125 - 0.056],
    ['canon-log-2', -0.18, 2 * 0.092864125 - 0.39825469],
    ['canon-log-3', -0.009, 0.12512219 - 0.019754798],
    ['canon-log-3', -0.9, 0.12783901 - 0.36726845 * Math.log10(15.98325)],
    ['log3g10', -0.02, -0.151927],
    ['film-gen5', -0.01, 0.0924657534 - 0.0828360593],
    ['d-log', -0.01, 0.0929 - 0.06025],
    ['apple-log', -0.05641088, 0],
    ['apple-log', -0.01, 47.28711236 * 0.04641088 ** 2],
    ['f-log2', -0.01, 0.092864 - 0.08799461],
    ['acescct', -0.01, 0.0729055342 - 0.105402377],
  ] as const)('%s of %f', (name, light, code) => {
    expect(curveOf(name).encode(light)).toBeCloseTo(code, 8)
  })
})

it('passes nowhere through a gap: codes between the two pieces of D-Log decode to the cut', () => {
  const { decode } = curveOf('d-log')
  expect(decode(0.139896)).toBe(0.0078)
  expect(decode(0.139895 - 1e-9)).toBeLessThan(0.0078)
  expect(decode(0.139897016)).toBeGreaterThan(0.0078)
  expect(decode(Number.NaN)).toBeNaN()
})
