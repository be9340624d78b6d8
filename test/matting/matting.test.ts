/** A small green wall, so that the suite stays quick; `npm run matting` has it at full size. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { filmed, rowsOf } from './case.js'
import { bandOf, errorMaps, errorsOf } from './errors.js'

const WIDTH = 384
let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-matting-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

describe('a key of the green wall', { timeout: 300_000 }, () => {
  // Of a seed that no constant of the key was chosen on.
  it('is nearer the truth than plain keys at their best, a waving arm and fair hair', async () => {
    const film = await filmed(folder, { seed: 2, width: WIDTH, frames: 2, moving: true })
    const [row] = await rowsOf('moving', folder, film)
    const best = Math.min(row.plainKeySad, row.ffmpegSad)
    expect(best / row.sad).toBeGreaterThan(1.3)
    expect(row.deltaE).toBeLessThan(Math.min(row.plainKeyDeltaE, row.ffmpegDeltaE))
    // Of 83,000 pixels.
    expect(row.floor).toBeLessThan(12)
  })
})

describe('errors of mattes', () => {
  const size = { width: 40, height: 20 }
  const step = Float32Array.from({ length: 800 }, (_, p) => Math.min(Math.max((p % 40) / 10 - 1.45, 0), 1))
  const everywhere = new Uint8Array(800).fill(1)

  it('are 0 of the true one', () => {
    const none = { sad: 0, mse: 0, gradient: 0, connectivity: 0 }
    expect(errorsOf(errorMaps({ ...size, alpha: step }, step), everywhere)).toEqual(none)
  })

  it('by hand: all 0.1 off', () => {
    const off = step.map((a) => a + 0.1)
    const e = errorsOf(errorMaps({ ...size, alpha: off }, step), everywhere)
    expect(e.sad).toBeCloseTo(0.08, 5)
    expect(e.mse).toBeCloseTo(0.01, 5)
    expect(e.gradient).toBeCloseTo(0, 8)
  })

  it('of connectivity: a spot apart counts by what it is above nothing', () => {
    const spot = step.slice()
    for (const p of [82, 83, 122, 123]) spot[p] = 0.8
    const e = errorsOf(errorMaps({ ...size, alpha: spot }, step), everywhere)
    // Four pixels of which 0.8 hangs on nothing: |(1 − 0.8) − 1| each.
    expect(e.connectivity).toBeCloseTo(0.0032, 5)
  })

  it('are counted within a band about what is partly covered', () => {
    const band = bandOf({ ...size, alpha: step }, 2)
    // From 1.45 to 2.45 tens: 15 to 24; two more to either side.
    const row = Array.from({ length: 40 }, (_, x) => (x >= 13 && x <= 26 ? 1 : 0))
    expect(Array.from(band.slice(0, 40))).toEqual(row)
  })
})
