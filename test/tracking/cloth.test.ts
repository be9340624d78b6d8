/** Short cloths, so that the suite stays quick; `npm run tracking` has long ones. */
import { describe, expect, it } from 'vitest'
import { clothFine, clothRow, cloths } from './clothScore.js'
import { cobbles, plaster } from './texture.js'

const SIZE = { width: 320, height: 200 }
const FRAMES = 12

describe('a cloth followed as a mesh', { timeout: 300_000 }, () => {
  const made = cloths(plaster(2000, 1300), FRAMES, SIZE)
  it('stays a plane where it hangs still', async () => {
    const row = await clothRow('still', made.still!)
    expect(row.bent).toBeLessThan(0.1)
    expect(row.rms).toBeLessThan(0.1)
  })
  it('is followed where it bends, turns and changes its light', async () => {
    const row = await clothRow('bends', made.bends!)
    expect(row).toSatisfy(clothFine)
    expect(row.bent).toBeGreaterThan(1)
  })
  it('is followed over a crease', async () => {
    expect(await clothRow('crease', cloths(cobbles(2000, 1300), FRAMES, SIZE).crease!)).toSatisfy(clothFine)
  })
})
