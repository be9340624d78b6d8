/** The world's own rules, and what the program comes to on it. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { scoreShake } from './run.js'
import { levelled, shakeSetting, wallMatrix } from './setting.js'

const root = mkdtempSync(join(tmpdir(), 'platefit-shake-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

describe('rolling-shake', () => {
  it('has matrices that carry the wall as its places show, level on its level frame', () => {
    const s = shakeSetting(3)
    const [a, b, c, d, e, f] = wallMatrix(s, 2.3) as [number, number, number, number, number, number]
    const [x, y] = levelled(s, 2.3)(a * 50 + b * 80 + c, d * 50 + e * 80 + f)
    expect(x).toBeCloseTo(50, 9)
    expect(y).toBeCloseTo(80, 9)
    wallMatrix(s, s.level).forEach((v, i) => {
      expect(v).toBeCloseTo(i % 4 === 0 ? 1 : 0, 9)
    })
  })

  // A motion that shears holds how the plate leans on its frame, and on the reference frame: the panel has to lean as on that one.
  it.each(['similarity', 'affine'] as const)(
    'is four times nearer to the truth streaked and skewed than laid over as it stands (%s)',
    async (motion) => {
      const options = { width: 160, frames: 4, samples: 20, motion }
      const found = await scoreShake(root, 5, { workers: 1 }, () => undefined, options)
      expect(found.ratio).toBeGreaterThanOrEqual(4)
      expect(found.best.deltaE).toBeLessThan(found.result.deltaE)
    },
  )
})
