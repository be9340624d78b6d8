import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { allocateFrame, emptyImage, type NativeFrame, type PixelLayout, uniform } from '../../core/index.js'
import type { Coding } from './coding.js'
import { patch, patchRegion } from './patch.js'
import { patch as plain } from './patchScalar.js'
import { unpack } from './unpack.js'

const fast = watchKernels('lumaChromaRow', 'channelRow', 'settleRow')

const sitings = ['left', 'centre', 'right', 'top-left', 'top', 'bottom-right'] as const

const odd = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 70000, -70000]

function noise(layout: PixelLayout, width: number, height: number): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  frame.planes.forEach(({ data }, p) => {
    for (let i = 0; i < data.length; i++) {
      const v = uniform(5, p, i, 0, 0)
      data[i] = !layout.float ? Math.floor(v * 2 ** layout.bits) : i % 23 === 3 ? Number.NaN : 3 * v - 1
    }
  })
  return frame
}

it('a patch by SIMD and in plain TypeScript gives the same samples, for every layout, siting and touched place', () => {
  const side = fc.integer({ min: 1, max: 33 })
  fc.assert(
    fc.property(
      side,
      side,
      fc.constantFrom(8, 10, 16, 32),
      fc.constantFrom([0, 0], [1, 0], [1, 1], [2, 0], [0, 1]),
      fc.constantFrom(...sitings),
      fc.boolean(),
      fc.constantFrom(5, 23),
      fc.tuple(fc.double({ min: 0, max: 0.99, noNaN: true }), fc.double({ min: 0, max: 0.99, noNaN: true })),
      (width, height, bits, [subX, subY], siting, alpha, across, [u, v]) => {
        const float = bits === 32
        const family = float ? 'rgb' : 'yuv'
        const sub = family === 'rgb' ? { subX: 0, subY: 0 } : { subX, subY }
        const layout = { family, bits, float, ...sub, alpha } as PixelLayout
        const coding: Coding = { siting, range: 'limited', matrix: float ? 'rgb' : 'bt709' }
        const frame = noise(layout, width, height)
        const spot = { x: Math.floor(u * width), y: Math.floor(v * height), width: 1, height: 1 }
        const region = patchRegion(
          { ...spot, width: Math.min(across, width - spot.x), height: Math.min(3, height - spot.y) },
          layout,
          width,
          height,
        )
        const before = unpack(frame, coding, region)
        const after = emptyImage(region)
        after.data.set(before.data)
        const pixels = region.width * region.height
        const touched = new Uint8Array(pixels)
        const keep = new Float32Array(pixels).fill(1)
        for (let y = 0; y < Math.min(3, height - spot.y); y++) {
          for (let x = 0; x < Math.min(across, width - spot.x); x++) {
            const p = (spot.y + y - region.y) * region.width + spot.x + x - region.x
            if ((x + y) % 3 === 2) continue
            touched[p] = 1
            keep[p] = (x % 3) / 2
            for (let c = 0; c < 4; c++) after.data[4 * p + c] += 0.3 * uniform(6, c, p, 0, 0) - 0.1
            if (p % 13 === 5) after.data[4 * p + (p % 4)] = odd[p % 5]
          }
        }
        const twin = structuredClone(frame)
        patch(frame, before, after, keep, touched, coding)
        plain(twin, before, after, keep, touched, coding)
        frame.planes.forEach(({ data }, p) => {
          data.forEach((s, i) => {
            const t = twin.planes[p].data[i]
            if (!Object.is(s, t)) expect({ p, i, s }).toEqual({ p, i, s: t })
          })
        })
      },
    ),
    { numRuns: 400 },
  )
  fast()
})
