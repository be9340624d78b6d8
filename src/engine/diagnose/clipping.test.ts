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
