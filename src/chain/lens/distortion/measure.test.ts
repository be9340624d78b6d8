/** Strips painted through a known lens; things that are no straight lines; a set of photographs of a known lens. */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { linedFrame } from '../../../../test/roundtrips/lined.js'
import { normal } from '../../../../test/worlds/chance.js'
import { told } from '../../../core/index.js'
import { measureDistortion } from './measure.js'
import type { LightPicture } from './picture.js'

const wall = {
  name: 'wall',
  image: { region: { x: 0, y: 0, width: 1, height: 1 }, data: Float32Array.of(0.3, 0.3, 0.3, 1) },
}

/** Strips before an even wall, in code values with noise of 0.7. */
function strips(k: readonly [number, number], draw: number): LightPicture {
  const { region, data } = linedFrame(wall, k, draw, 2)
  const { width, height } = region
  const values = Float32Array.from({ length: width * height }, (_, p) =>
    Math.round(255 * Math.sqrt(data[4 * p + 1]!) + 0.7 * normal(draw, p)),
  )
  return { width, height, values }
}

function painted(grey: (x: number, y: number) => number): LightPicture {
  const [width, height] = [480, 270]
  const values = Float32Array.from({ length: width * height }, (_, p) =>
    Math.round(grey((p % width) + 0.5, Math.floor(p / width) + 0.5) + 0.7 * normal(3, p)),
  )
  return { width, height, values }
}

const barrel = strips([-0.03, 0], 5)

describe('lines that are straight in the scene', () => {
  it('tell k1, and k2 where they reach far enough', () => {
    const one = measureDistortion([{ frame: 7, picture: barrel }]).distortion
    if (!told(one)) throw new Error(one.cannotTell)
    expect(Math.abs(one.value.terms[0]! / -0.03 - 1)).toBeLessThan(0.02)
    expect(one.value.terms.slice(1)).toEqual([0, 0, 0, 0])
    expect(one.evidence).toMatchObject({ kind: 'measured', frames: [7] })
    const frames = [5, 6].map((draw) => ({ frame: draw, picture: strips([-0.08, 0.012], draw) }))
    const two = measureDistortion(frames).distortion
    if (!told(two)) throw new Error(two.cannotTell)
    expect(two.value.terms[0]! / -0.08).toBeCloseTo(1, 1)
    expect(two.value.terms[1]! / 0.012).toBeCloseTo(1, 0)
  })

  it('count within regions alone', () => {
    const within = [{ x: 0, y: 0, width: 40, height: 40 }]
    expect(measureDistortion([{ frame: 0, picture: barrel, within }]).distortion).toEqual({
      cannotTell: expect.stringMatching(/^of \d+ long smooth curves/),
    })
  })

  it('are none where everything is round, where nothing is, and where nobody looks', () => {
    const rings = painted((x, y) => {
      const [i, j] = [Math.floor(x / 120), Math.floor(y / 90)]
      const away = Math.hypot(x - 120 * i - 60 - 7 * ((i * 3 + j) % 4), y - 90 * j - 45)
      return away < 20 + 5 * ((i + 2 * j) % 5) ? 60 : 180
    })
    const even = painted(() => 90)
    for (const picture of [rings, even])
      expect(told(measureDistortion([{ frame: 0, picture }]).distortion)).toBe(false)
    expect(measureDistortion([])).toEqual({
      distortion: { cannotTell: 'there is no frame to look at' },
      lines: [],
    })
  })
})

const DATA = '/usr/share/doc/opencv-doc/examples/data'

describe.skipIf(!existsSync(join(DATA, 'left11.jpg')))(
  'photographs of opencv-doc (skipped without them)',
  () => {
    // The lens of these pictures by their chessboards, Debian's python3-opencv 4.6.0, in half the short side: f 533.2 px, k1 −0.29,
    // k2 0.100 → k1 −0.0587, k2 0.0041 about an axis 23 px from the middle, which lines alone do not tell: 15 % of k1 for that.
    it('tell the lens that a calibration tells', async () => {
      const { openSource } = await import('../../../media/index.js')
      const { lightOf } = await import('../../../engine/lens/views.js')
      const frames = []
      for (const [frame, n] of ['01', '08', '11'].entries()) {
        const source = await openSource(join(DATA, `left${n}.jpg`), { still: true })
        for await (const native of source.frames(0, 1)) frames.push({ frame, picture: lightOf(native) })
        await source.close()
      }
      const { distortion } = measureDistortion(frames)
      if (!told(distortion)) throw new Error(distortion.cannotTell)
      const [k1 = 0, k2 = 0] = distortion.value.terms
      // What both draw at half the short side.
      expect(Math.abs((k1 + k2) / (-0.0587 + 0.0041) - 1)).toBeLessThan(0.15)
    })
  },
)
