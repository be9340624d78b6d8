/** Light in floats that a camera or an earlier file cut off, and light that goes on. */
import { describe, expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type PixelLayout } from '../../core/index.js'
import { clippingFindings } from './clipping.js'

const layout: PixelLayout = { family: 'rgb', bits: 16, float: true, subX: 0, subY: 0, alpha: false }
const encoding: ColourEncoding = {
  range: 'full',
  matrix: 'rgb',
  curve: 'linear',
  primaries: 'bt709',
  siting: 'centre',
}

/** Light falls off from a lamp as 1/r²; each channel is cut off at its own ceiling. */
function lamp(ceilings: readonly [number, number, number]) {
  const native = allocateFrame(layout, 200, 200)
  for (let p = 0; p < 40_000; p++) {
    const r = Math.hypot((p % 200) - 100.3, Math.floor(p / 200) - 99.6) / 100
    for (let c = 0; c < 3; c++)
      (native.planes[c]?.data as Float32Array)[p] = Math.min((0.4 - 0.1 * c) / (r * r), ceilings[c] as number)
  }
  const [clipped, crushed] = clippingFindings([{ frame: 0, native }], encoding)
  if (clipped === undefined || crushed === undefined) throw new Error('two findings')
  return { clipped, crushed }
}

describe('clipping of floats', () => {
  it('is found with its ceiling where values are piled at one', () => {
    const { clipped } = lamp([4, 4, 4])
    expect(clipped.verdict).toBe('fault')
    // Area of a circle of r² = 0.4 / 4, over that of the square of side 2.
    expect((clipped.numbers.shares as number[])[0]).toBeCloseTo((Math.PI * 0.1) / 4, 2)
    // Light of 4 is two stops above a diffuse white of 1.
    expect(clipped.sentence).toContain('2.0 stops above diffuse white: a ceiling')
    for (const v of clipped.numbers.ceiling as number[]) expect(Math.log2(v)).toBeCloseTo(2, 1)
  })

  it('is found in the one channel that has it', () => {
    const shares = lamp([2, 1e9, 1e9]).clipped.numbers.shares as number[]
    expect(shares.map((s) => s > 0)).toEqual([true, false, false])
  })

  it('is none where light just goes on', () => {
    const { clipped, crushed } = lamp([1e9, 1e9, 1e9])
    expect(clipped).toMatchObject({ verdict: 'fine', sentence: expect.stringContaining('no ceiling') })
    expect(crushed.sentence).toContain('No channel')
  })
})

describe('clipping of whole numbers', () => {
  const eight: PixelLayout = { ...layout, bits: 8, float: false }
  /** A ramp to white of which `share` is over; the red alone where `red`. */
  const said = (share: number, red: boolean) => {
    const native = allocateFrame(eight, 200, 200)
    for (let p = 0; p < 40_000; p++)
      for (let c = 0; c < 3; c++)
        (native.planes[c]?.data as Uint8Array)[p] =
          (p % 200) / 200 < 1 - share
            ? (p % 200) * (c === 0 || !red ? 1.1 : 0.8)
            : c === 0 || !red
              ? 255
              : 180
    return clippingFindings([{ frame: 0, native }], { ...encoding, curve: 'srgb' })[0]
  }

  it('is a fault where much of a coloured picture is at the top', () => {
    expect(said(0.2, true)).toMatchObject({
      verdict: 'fault',
      sentence: expect.stringMatching(/^R 20\.?\d* %.* is lost\.$/),
    })
  })

  it('says why it is none: few, or no colour', () => {
    expect(said(0.02, true)).toMatchObject({ verdict: 'fine', sentence: expect.stringContaining('but few') })
    expect(said(0.2, false)).toMatchObject({
      verdict: 'fine',
      sentence: expect.stringContaining('without colour'),
    })
  })
})
