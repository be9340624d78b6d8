/** Meters of an element's own facts, on pictures painted here. */
import { describe, expect, it } from 'vitest'
import { emptyImage, type FloatImage, told } from '../../core/index.js'
import { AlphaMeter } from '../diagnose/alphaLook.js'
import { clippingLine, measureClipping } from './clipping.js'
import { cutOutOf } from './cutout.js'
import { extentOf } from './extent.js'

type Rgba = readonly [number, number, number, number]

function painted(width: number, height: number, paint: (x: number, y: number) => Rgba): FloatImage {
  const image = emptyImage({ x: 0, y: 0, width, height })
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) image.data.set(paint(x, y), 4 * (y * width + x))
  return image
}

const EVEN = [1 / 3, 1 / 3, 1 / 3] as const

describe('clipping', () => {
  it('weighs by light, one channel apart from more', () => {
    // Light 1 with all channels at the ceiling, ½ with one, ½ with none: of 2 in all, a half and a quarter.
    const colours: Rgba[] = [
      [1, 1, 1, 0],
      [1, 0.25, 0.25, 0],
      [0.5, 0.5, 0.5, 0],
    ]
    const m = measureClipping([painted(3, 1, (x) => colours[x] as Rgba)], 1, EVEN)
    expect(told(m) && m.value.lost).toBeCloseTo(0.5, 6)
    expect(told(m) && m.value.one).toBeCloseTo(0.25, 6)
    expect(clippingLine(m, false).verdict).toBe('unfit')
  })

  it('does not take a sprite of one colour for clipped, nor a float file', () => {
    const sprite = painted(8, 1, (x) => [x / 8, x / 8, x / 8, x / 8])
    expect(clippingLine(measureClipping([sprite], 1, EVEN), false)).toMatchObject({
      verdict: 'fine',
      figure: 'one flat colour',
    })
    expect(clippingLine({ cannotTell: '' }, true).figure).toBe('no ceiling')
  })
})

describe('cut-out', () => {
  const rgb = { family: 'rgb', bits: 8, float: false, subX: 0, subY: 0, alpha: false } as const
  const encoding = {
    range: 'full',
    matrix: 'rgb',
    curve: 'srgb',
    primaries: 'bt709',
    siting: 'centre',
  } as const
  const premultiplied = { kind: 'premultiplied', known: false, why: 'by its standard' } as const
  const of = (image: FloatImage, alpha = false, hint?: typeof premultiplied, black = false) =>
    cutOutOf(
      alpha ? alphaOf(image) : undefined,
      [image],
      { ...(hint === undefined ? {} : { alphaHint: hint }) },
      black,
      () => [image],
    )
  const alphaOf = (image: FloatImage) => {
    const meter = new AlphaMeter({ ...rgb, alpha: true }, encoding)
    meter.add({ region: image.region, data: image.data.slice() })
    return meter.look()
  }
  const on = (colour: Rgba) =>
    painted(64, 64, (x, y) => (Math.hypot(x - 32, y - 32) < 12 ? [0.8, 0.6, 0.5, 1] : colour))

  it('is told by alpha, by black, by a key colour', () => {
    expect(of(on([0, 0, 0, 0]), true)).toMatchObject({ kind: 'alpha', alpha: 'straight' })
    expect(of(on([0, 0, 0, 0]), true, premultiplied)).toMatchObject({ kind: 'alpha', alpha: 'premultiplied' })
    expect(of(on([0.02, 0.02, 0.02, 1]), true, undefined, true).kind).toBe('on-black')
    expect(of(on([0.1, 0.7, 0.2, 1]))).toMatchObject({ kind: 'keyed', key: { colour: 'green' } })
    expect(of(on([0.8, 0.82, 0, 1]))).toMatchObject({ kind: 'keyed', key: { colour: 'yellow-green' } })
    expect(of(on([0.05, 0.1, 0.8, 1]))).toMatchObject({ kind: 'keyed', key: { colour: 'blue' } })
    expect(of(on([0.5, 0.5, 0.45, 1])).kind).toBe('whole')
  })
})

describe('extent', () => {
  it('finds rows, amount and the level of the light', () => {
    // Rows 4 to 7 of 10 hold 0.5: 40 pixels of presence 0.5, luminance 0.5 throughout.
    const bar = painted(10, 10, (_, y) => (y >= 4 && y < 8 ? [0.5, 0.5, 0.5, 0] : [0, 0, 0, 0]))
    const e = extentOf(bar, EVEN, undefined)
    expect(e.height).toBe(4)
    expect(e.amount).toBeCloseTo(20, 6)
    expect(e.level).toBeCloseTo(0.5, 6)
  })

  it('takes the floor off first', () => {
    const floor = { floor: [0.1, 0.1, 0.1], noise: [0.01, 0.01, 0.01] } as const
    expect(
      extentOf(
        painted(10, 10, () => [0.12, 0.1, 0.1, 0]),
        EVEN,
        floor,
      ),
    ).toEqual({
      amount: 0,
      height: 0,
      level: undefined,
    })
  })
})
