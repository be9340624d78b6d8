/** The world's own rules, and what the program comes to on it. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { scoreDepths } from './run.js'
import { depthsSetting, shows } from './setting.js'
import { applied, internalParallax, planeMatrix } from './truth.js'

const root = mkdtempSync(join(tmpdir(), 'platefit-depths-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

describe('three-depths', () => {
  const s = depthsSetting(2)

  it('has matrices that carry a plane as its places show', () => {
    for (const [k, pose] of s.poses.entries()) {
      const z = 6
      const [x, y] = [301.5, 77.25]
      const place = [((x - 192) * z) / s.focalPx, ((y - 108) * z) / s.focalPx, z] as const
      const [u, v] = applied(planeMatrix(s, pose, z), x, y)
      expect(u, `${k}`).toBeCloseTo(shows(s, pose, place)[0], 8)
      expect(v).toBeCloseTo(shows(s, pose, place)[1], 8)
    }
  })

  it('shifts near against far by F · b · (1/near − 1/far), whatever the camera turns', () => {
    const aside = { ...s, poses: [{ right: 0.2, down: 0, forward: 0, pan: 0, tilt: 0 }] }
    expect(internalParallax(aside)[0]).toBeCloseTo(s.focalPx * 0.2 * (1 / 5.7 - 1 / 6.3), 6)
    const turned = { ...s, poses: [{ right: 0, down: 0, forward: 0, pan: 0.05, tilt: 0.02 }] }
    expect(internalParallax(turned)[0]).toBeCloseTo(0, 9)
  })

  it('is four times nearer to the truth with a carried flat, and the budget ends when it should', async () => {
    const folder = mkdtempSync(join(root, 'world-'))
    const found = await scoreDepths(folder, 5, { workers: 1 }, () => undefined, { width: 256, frames: 18 })
    expect(found.ratio).toBeGreaterThanOrEqual(4)
    expect(found.best.deltaE).toBeLessThan(found.result.deltaE)
    const { truth = Number.NaN, tracks, path } = found.firstFrame
    expect(truth).toBeGreaterThan(3)
    expect(Math.abs((tracks ?? Number.NaN) - truth)).toBeLessThanOrEqual(3)
    expect(Math.abs((path ?? Number.NaN) - truth)).toBeLessThanOrEqual(3)
  })
})
