import { describe, expect, it } from 'vitest'
import { cameras, filmed, noise } from '../../../test/colour/cameras.js'
import { type Rgb, told } from '../../core/index.js'
import { viewing } from '../viewing.js'
import { responseOfBracket } from './bracket.js'
import { channelCurves } from './encoding.js'
import { responseCurves, responseFault, responseTable } from './table.js'

type Camera = (light: number) => number

/** Rows by a card from −6 to +6 stops in some light; `normal` noise of a thousandth. */
function rowsOf(camera: Camera, light: Rgb, normal: () => number): number[] | { cannotTell: string } {
  const shots = Array.from({ length: 25 }, (_, i) => {
    const stops = i / 2 - 6
    const card = light.map((v) => v * 2 ** stops) as unknown as Rgb
    return { stops, code: filmed(camera, card, 0.001, normal) }
  })
  const reading = responseOfBracket(shots, 0.18, { frames: [0] })
  if (!told(reading)) throw new Error(reading.cannotTell)
  return responseTable(reading.value, 'bt709')
}

const values = (rows: number[] | { cannotTell: string }) => {
  if ('cannotTell' in rows) throw new Error(rows.cannotTell)
  return rows
}

/** BT.709-6's code of 0.18. */
const GREY = 1.099 * 0.18 ** 0.45 - 0.099

/** Light at which a camera gives a code. */
function lightOf(camera: Camera, code: number): number {
  let [low, high] = [1e-5, 64]
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high)
    if (camera(middle) < code) low = middle
    else high = middle
  }
  return low
}

describe.each(Object.entries(cameras))('rows of a document, curve %s', (_, camera) => {
  it.each<[string, Rgb]>([
    ['at the plate’s exposure', [0.18, 0.18, 0.18]],
    ['in warm light, a stop under', [0.11, 0.09, 0.06]],
  ])('are the camera’s, set at middle grey: a card %s', (_words, light) => {
    const rows = values(rowsOf(camera, light, noise(11)))
    expect(rows.length).toBeLessThanOrEqual(160)
    expect(responseFault(rows)).toBeUndefined()
    const unit = lightOf(camera, GREY) / 0.18
    const curves = responseCurves(rows, 'bt709')
    const off = curves.flatMap(({ decode }) =>
      Array.from({ length: 60 }, (_, i) => 0.01 * 2 ** (i / 10))
        .filter((x) => x * unit > (rows[0] as number) && camera(x * unit) < 0.93 * camera(64))
        .map((x) => Math.log2(decode(camera(x * unit)) / x)),
    )
    expect(off.length).toBeGreaterThan(90)
    expect(Math.sqrt(off.reduce((s, v) => s + v * v, 0) / off.length)).toBeLessThan(0.06)
  })
})

describe('rows read back', () => {
  const rows = [0.02, 0.1, 0.11, 0.12, 0.08, 0.3, 0.3, 0.3, 0.32, 0.5, 0.5, 0.5, 1.28, 0.9, 0.88, 0.86]
  const [red] = responseCurves(rows, 'bt709')

  it('meet every row, go on straight in light above and as the named curve below', () => {
    expect(red.decode(0.3)).toBeCloseTo(0.08, 12)
    expect(red.decode(1)).toBeCloseTo(1.28 + 0.24, 12)
    // BT.709-6: below code 0.081 straight, 4.5 of code a light; 0.1 is the light 0.0223.
    const named = ((0.1 + 0.099) / 1.099) ** (1 / 0.45)
    expect(red.decode(0.045)).toBeCloseTo((0.01 * 0.02) / named, 4)
    expect(red.decode(0)).toBe(0)
    expect(red.decode(-0.045)).toBeLessThan(0)
  })

  it('give every code back, below and beyond too', () => {
    for (const { decode, encode } of responseCurves(rows, 'bt709'))
      for (let i = -10; i <= 120; i++) expect(encode(decode(i / 100))).toBeCloseTo(i / 100, 6)
  })

  it('keep to straight lines where the named curve holds the first row for black', () => {
    // S-Log3 holds codes below 95/1023 for light below 0.
    const [log] = responseCurves([0.02, 0.05, 0.05, 0.05, 0.08, 0.3, 0.3, 0.3], 's-log3')
    expect(log.decode(0)).toBeCloseTo(0.02 - (0.05 * 0.06) / 0.25, 12)
  })

  it('say what is wrong with them', () => {
    expect(responseFault(rows)).toBeUndefined()
    expect(responseFault(rows.slice(0, 4))).toContain('4 numbers')
    expect(responseFault(rows.slice(0, 9))).toContain('9 numbers')
    expect(responseFault([0, ...rows.slice(1)])).toContain('not above 0')
    expect(responseFault([...rows, 1.3, 0.91, 0.87, 0.99])).toContain('row 4')
  })
})

it('cannot tell a curve that leaves out middle grey', () => {
  const dark = responseOfBracket(
    Array.from({ length: 9 }, (_, i) => ({
      stops: i / 2,
      code: filmed(cameras.bt709, [0, 0, 0].map(() => 0.004 * 2 ** (i / 2)) as unknown as Rgb, 0, noise(1)),
    })),
    0.18,
    { frames: [0] },
  )
  if (!told(dark)) throw new Error(dark.cannotTell)
  expect(responseTable(dark.value, 'bt709')).toMatchObject({
    cannotTell: expect.stringMatching(/middle grey, 0.41.*too dark/),
  })
})

it('pictures of a plate with a curve of its own show its codes as they are', () => {
  const response = values(rowsOf(cameras.phone, [0.18, 0.18, 0.18], noise(3)))
  const encoding = {
    range: 'full',
    matrix: 'rgb',
    curve: 'bt709',
    primaries: 'bt709',
    siting: 'left',
    response,
  } as const
  const codes = [0.12, 0.4, 0.8]
  const light = channelCurves(encoding).map(({ decode }, c) => decode(codes[c] as number))
  viewing(encoding)(light as unknown as Rgb).forEach((v, c) => {
    expect(v).toBeCloseTo(codes[c] as number, 6)
  })
})
