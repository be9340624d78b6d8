import { describe, expect, it } from 'vitest'
import { meansAt, mended, sitesOf } from './samples.js'

const picture = (width: number, height: number, of: (x: number, y: number) => number) => ({
  ...{ width, height },
  data: Float32Array.from({ length: width * height }, (_, p) => of(p % width, Math.floor(p / width))),
})

describe('chroma samples of 4:2:0', () => {
  it('sited left are 1-2-1 of three columns and the mean of two rows, by hand', () => {
    const of = picture(8, 4, (x, y) => (x === 4 && y === 2 ? 8 : x === 5 && y === 3 ? 4 : 0))
    const means = meansAt(of, { width: 4, height: 2 }, sitesOf(1, 1, 'left'))
    // Sample 2 of row 1 lies on column 4 between rows 2 and 3: 8·2/8 + 4·1/8; its right neighbour sees column 5 alone: 4·1/8.
    expect(Array.from(means)).toEqual([0, 0, 0, 0, 0, 0, 2.5, 0.5])
  })

  it('sited in the middle are the mean of four', () => {
    const of = picture(4, 2, (x) => x)
    expect(Array.from(meansAt(of, { width: 2, height: 1 }, sitesOf(1, 1, 'centre')))).toEqual([0.5, 2.5])
  })

  it('are those of the picture again once it is mended, and one that agrees is left alone', () => {
    const sites = sitesOf(1, 1, 'left')
    const truth = picture(40, 24, (x, y) => (x + 0.4 * y > 22 ? 100 : 20))
    const samples = { width: 20, height: 12, data: meansAt(truth, { width: 20, height: 12 }, sites) }
    const off = () => {
      const means = meansAt(made, samples, sites)
      return means.reduce((most, v, q) => Math.max(most, Math.abs(v - samples.data[q]!)), 0)
    }
    const made = picture(40, 24, () => 60)
    const before = off()
    mended(made, samples, sites)
    expect(off()).toBeLessThan(0.25 * before)
    const kept = truth.data.slice()
    mended(truth, samples, sites)
    for (const [p, v] of truth.data.entries()) expect(v).toBeCloseTo(kept[p]!, 4)
  })
})
