import { describe, expect, it } from 'vitest'
import { normal } from '../../../../test/worlds/chance.js'
import { cameraWent, type Part, type Seen } from './translation.js'

const F = 1700

/** A camera that turns by small angles in turn and goes, as matrices by hand. */
function see(
  from: readonly [number, number],
  d: number,
  t: readonly [number, number, number],
  pan: number,
  tilt: number,
): [number, number] {
  const [X, Y, Z] = [(from[0] * d) / F - t[0], (from[1] * d) / F - t[1], d - t[2]]
  const [y, z] = [Y * Math.cos(tilt) - Z * Math.sin(tilt), Y * Math.sin(tilt) + Z * Math.cos(tilt)]
  const [x, w] = [X * Math.cos(pan) + z * Math.sin(pan), z * Math.cos(pan) - X * Math.sin(pan)]
  return [(F * x) / w, (F * y) / w]
}

const corners = (x: number, y: number, size: number) =>
  [
    [x, y],
    [x + size, y],
    [x, y + size],
    [x + size, y + size],
  ] as const

function scene(
  t: readonly [number, number, number],
  sd: number,
  draw = 0,
  distances: readonly [number, number] = [2.5, 20],
  size = 300,
  [x0, y0, apart]: readonly [number, number, number] = [-500, -200, 600],
): Seen[] {
  return distances.flatMap((d, k) =>
    corners(x0 + apart * k, y0, size).map((from, i): Seen => {
      const [x, y] = see(from, d, t, 0.02, -0.01)
      const noise = (a: number) => (draw === 0 ? 0 : sd * normal(3, draw, 10 * k + i, a))
      return { from, to: [x + noise(0), y + noise(1)], sd, distanceM: d, distanceSd: 0 }
    }),
  )
}

const metres = (p: Part | { cannotTell: string }) => ('metres' in p ? p.metres : Number.NaN)

describe('where the camera went', () => {
  it('is found though it turned as well', () => {
    const went = cameraWent(F, scene([0.12, -0.05, 0.3], 0.1))
    expect(metres(went.right)).toBeCloseTo(0.12, 4)
    expect(metres(went.down)).toBeCloseTo(-0.05, 4)
    expect(metres(went.forward)).toBeCloseTo(0.3, 4)
  })

  it('is off by as much as it says', () => {
    const draws = Array.from({ length: 300 }, (_, n) => cameraWent(F, scene([0.12, -0.05, 0.3], 0.2, n + 1)))
    for (const [part, truth] of [
      ['right', 0.12],
      ['down', -0.05],
      ['forward', 0.3],
    ] as const) {
      const off = draws.map((w) => metres(w[part]) - truth)
      const rms = Math.sqrt(off.reduce((s, v) => s + v * v, 0) / off.length)
      const said = draws[0]?.[part] as Part
      expect(rms / said.sd, part).toBeGreaterThan(0.85)
      expect(rms / said.sd, part).toBeLessThan(1.15)
    }
  })

  it('takes the error of a distance in: half the distances, half the way', () => {
    const sure = scene([0.2, 0, 0], 0.05)
    const unsure = sure.map((s) => ({ ...s, distanceSd: 0.1 * s.distanceM }))
    const [a, b] = [cameraWent(F, sure).right, cameraWent(F, unsure).right]
    expect('sd' in a && a.sd).toBeLessThan(0.003)
    // 10 % of 0.2 m by the near one; the far one adds little.
    expect('sd' in b && b.sd).toBeGreaterThan(0.018)
    expect('sd' in b && b.sd).toBeLessThan(0.04)
  })

  it('cannot be told where all lies at one distance', () => {
    const { right } = cameraWent(F, scene([0.1, 0, 0], 0.1, 0, [5, 5]))
    expect(right).toEqual({ cannotTell: expect.stringMatching(/one distance/) })
  })

  it('is told in part: small patches in the middle say nothing of going forward', () => {
    const went = cameraWent(F, scene([0.1, 0.02, 0], 1, 0, [6, 20], 20, [-10, -10, 0]))
    expect('metres' in went.right).toBe(true)
    expect(went.forward).toEqual({ cannotTell: expect.stringMatching(/known to .* m only/) })
  })
})
