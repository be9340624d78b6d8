import { describe, expect, it } from 'vitest'
import { flashBands, flashShare, type Timing } from './flash.js'

const ms = 1e-3
const timing = (openMs: number, frameMs = 1000 / 24): Timing => ({
  ...{ seconds: 15 * ms, rows: 1080, open: openMs * ms, frame: frameMs * ms },
})
const bands = (openMs: number, atMs: number, lengthMs: number) =>
  flashBands(timing(openMs), { at: atMs * ms, length: lengthMs * ms })
/** 24 frames a second at 180°, to four places. */
const OPEN = 20.8333

// By hand from the inequalities of the module's head: 1080 rows in 15 ms.
describe('a flash under a rolling readout', () => {
  it.each([
    [OPEN, 10, 1, [0, 791], [0, 720]],
    [OPEN, 30, 1, [661, 1079], [733, 1079]],
    [4, 10, 1, [433, 791], [504, 720]],
    [1, 10, 2, [649, 863], undefined],
  ] as const)('open %f ms, at %f ms for %f ms: rows lit and whole', (open, at, length, lit, whole) => {
    const [band] = bands(open, at, length).filter((b) => b.frame === 0)
    expect([band?.lit, band?.whole]).toEqual([lit, whole])
    // A flash twice as long as a row is open: the brightest rows get half of it.
    expect(band?.peak).toBeCloseTo(whole === undefined ? 0.5 : 1, 9)
  })

  it('has ramps d/τ rows long, and bands (tₑ + d)/τ and (tₑ − d)/τ rows long', () => {
    const [band] = bands(4, 10, 1)
    const row = 15 / 1080
    expect(Math.abs(band!.lit[1] - band!.lit[0] - (4 + 1) / row)).toBeLessThanOrEqual(2)
    expect(Math.abs(band!.whole![1] - band!.whole![0] - (4 - 1) / row)).toBeLessThanOrEqual(2)
    expect(Math.abs(band!.whole![0] - band!.lit[0] - 1 / row)).toBeLessThanOrEqual(2)
    expect(flashShare(timing(4), { at: 10 * ms, length: ms }, 0, 432 + 36)).toBeCloseTo(0.5, 9)
  })

  it('is found again in the next frame or in the time that the shutter is closed', () => {
    // Open all the time: whatever one frame cuts off is in the next.
    const all = timing(1000 / 24)
    for (const at of [-5, 3, 12, 30, 41]) {
      for (const y of [0, 400, 1079]) {
        const shares = [-2, -1, 0, 1, 2].map((k) => flashShare(all, { at: at * ms, length: 3 * ms }, k, y))
        expect(shares.reduce((a, b) => a + b)).toBeCloseTo(1, 9)
      }
    }
    // At 180° a flash at a random moment is caught by half on the mean, on every row.
    const half = timing(OPEN)
    const n = 2000
    let sum = 0
    for (let i = 0; i < n; i++)
      for (let k = -2; k < 3; k++)
        sum += flashShare(half, { at: ((i + 0.5) / n / 24) * 1, length: ms }, k, 700) / n
    expect(sum).toBeCloseTo(0.5, 3)
  })

  it('a global shutter lights all rows alike; no time below 0 is taken', () => {
    const [band] = flashBands({ ...timing(OPEN), seconds: 0 }, { at: 5 * ms, length: ms })
    expect([band?.lit, band?.whole]).toEqual([
      [0, 1079],
      [0, 1079],
    ])
    expect(() => bands(OPEN, 5, 0)).toThrow('above 0')
  })
})
