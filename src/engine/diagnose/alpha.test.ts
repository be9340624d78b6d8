import { describe, expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type PixelLayout } from '../../core/index.js'
import { alphaFinding, lookAtAlpha } from './alpha.js'

const layout: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: true }
const encoding: ColourEncoding = {
  range: 'full',
  matrix: 'rgb',
  curve: 'srgb',
  primaries: 'bt709',
  siting: 'centre',
}

/** A ramp of cover from left to right; colour by the definitions of [porter1984]. */
function ramp(colour: (a: number) => number) {
  const native = allocateFrame(layout, 200, 40)
  for (let p = 0; p < 8000; p++) {
    const a = (p % 200) / 199
    for (let c = 0; c < 3; c++) (native.planes[c]?.data as Float32Array)[p] = colour(a)
    ;(native.planes[3]?.data as Float32Array)[p] = a
  }
  return lookAtAlpha([{ frame: 0, native }], encoding)
}

describe('kind of alpha', () => {
  it.each([
    ['straight', () => 0.6, /straight, as/],
    ['premultiplied', (a: number) => 0.6 * a, /premultiplied, where/],
    ['over white', (a: number) => 0.6 * a + 1 - a, /over white/],
    ['twice', (a: number) => 0.6 * a * a, /twice/],
  ])('%s is told by how colour goes with alpha', (_, colour, words) => {
    const found = alphaFinding(ramp(colour), 'straight', false, [0])
    expect(found.sentence).toMatch(words)
  })

  it('of black soot cannot be told: all kinds look alike', () => {
    expect(
      alphaFinding(
        ramp(() => 0.001),
        'straight',
        false,
        [0],
      ).verdict,
    ).toBe('cannot tell')
  })

  it('has the exponent that was painted', () => {
    const { powers } = ramp((a) => 0.6 * a)
    for (const p of powers ?? [0]) expect(p).toBeCloseTo(1, 1)
  })
})
