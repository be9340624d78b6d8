import { describe, expect, it } from 'vitest'
import type { ColourEncoding } from '../core/index.js'
import { readCube } from './cube/index.js'
import { curveOf } from './curves/index.js'
import { tableViewing, tableViewingWords, viewImageThroughTable } from './tableViewing.js'

const log: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 's-log3',
  primaries: 's-gamut3-cine',
  siting: 'left',
}
const identity = readCube('TITLE "as it is"\nLUT_1D_SIZE 2\n0 0 0\n1 1 1', 'identity')
// Swaps red and blue: no per-channel curve could.
const swapped = readCube(
  `LUT_3D_SIZE 2\n${['0 0 0', '0 0 1', '0 1 0', '0 1 1', '1 0 0', '1 0 1', '1 1 0', '1 1 1'].join('\n')}`,
  'swap',
)
const pixels = (...data: number[]) => ({
  region: { x: 0, y: 0, width: data.length / 4, height: 1 },
  data: Float32Array.from(data),
})

describe('a view through a table', () => {
  it("gives the table the plate's code values: S-Log3's maker has grey at 420 of 1023", () => {
    const [r, g, b] = tableViewing(log, identity)([0.18, 0.18, 0.18])
    for (const v of [r, g, b]) expect(Math.round(v * 1023)).toBe(420)
    expect([...viewImageThroughTable(pixels(0.18, 0.18, 0.18, 1), log, identity)]).toEqual(
      Array(3).fill(Math.round((420 / 1023) * 255)),
    )
  })

  it('a picture and one colour agree; channels may cross; light is pushed before, codes after', () => {
    const code = curveOf('s-log3').encode
    const colour = [0.9, 0.18, 0.02] as const
    const got = viewImageThroughTable(pixels(...colour, 0.5), log, swapped)
    const want = [code(0.02), code(0.18), code(0.9)]
    want.forEach((v, i) => {
      expect(Math.abs((got[i] as number) - 255 * v)).toBeLessThanOrEqual(0.51)
      expect(tableViewing(log, swapped)(colour)[i]).toBeCloseTo(v, 5)
    })
    const pushed = viewImageThroughTable(pixels(...colour, 1), log, identity, { stops: 1 })
    expect([...pushed]).toEqual([...viewImageThroughTable(pixels(1.8, 0.36, 0.04, 1), log, identity)])
    const boosted = viewImageThroughTable(pixels(...colour, 1), log, identity, { blackBoost: 4 })
    expect(boosted[2]).toBe(Math.min(255, Math.round(4 * 255 * code(0.02))))
  })

  it('shows NaN as black, holds what lies outside, and names the table', () => {
    const got = viewImageThroughTable(pixels(Number.NaN, 1e6, -5, 1), log, identity)
    expect(got[0]).toBe(0)
    expect(got[1]).toBe(255)
    expect(tableViewingWords(log, identity, 'look.cube')).toContain('look.cube (as it is)')
  })
})
