import fc from 'fast-check'
import { describe, expect, it, vi } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, type FloatImage, type Region, uniform } from '../../core/index.js'
import { duringFrame } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { warp } from './apply.js'
import type { WarpMap } from './map.js'
import { warpMap } from './nodes.js'
import { warp as plain } from './scalar.js'

const fast = watchKernels('warpPlanes', 'warpShifts', 'warpRow', 'warpColouredRow', 'warpWideRow')

/** Bits, so that −0 and NaN count too. */
function sameBits(ours: FloatImage, twin: FloatImage): void {
  const [a, b] = [ours, twin].map(({ data }) => new Uint32Array(data.buffer, data.byteOffset, data.length))
  for (let i = 0; i < twin.data.length; i++) {
    if (a[i] === b[i] || (Number.isNaN(ours.data[i]) && Number.isNaN(twin.data[i]))) continue
    expect({ i, value: ours.data[i] }).toEqual({ i, value: twin.data[i] })
  }
}

const odd = [Number.NaN, Number.POSITIVE_INFINITY, -3, 491, 1e-30, Number.NEGATIVE_INFINITY]

function source(region: Region, wild: boolean, hole: boolean): FloatImage {
  const src = emptyImage(region)
  for (let i = 0; i < src.data.length; i++) {
    if (hole && ((i >> 2) % region.width) % 40 > 9) continue
    src.data[i] = wild && i % 37 === 4 ? odd[i % odd.length] : 1.5 * uniform(3, region.width, i, 0, 0) - 0.2
  }
  return src
}

/** A bent map: a scale and a turn around the middle, waves, and an offset for red and blue. */
function bentMap(
  frame: Region,
  step: 1 | 8,
  coloured: boolean,
  zoom: number,
  turn: number,
  waves: number,
): WarpMap {
  const [cx, cy] = [frame.x + frame.width / 2, frame.y + frame.height / 2]
  return warpMap(frame, step, coloured, (x, y, out) => {
    for (let c = 0; c < 3; c++) {
      const s = zoom * (1 + 0.02 * (c - 1))
      out[2 * c] = cx + s * (x - cx) + turn * (y - cy) + waves * Math.sin(y / 7) + 0.3 * (c - 1)
      out[2 * c + 1] = cy + s * (y - cy) - turn * (x - cx) + waves * Math.cos(x / 9)
    }
  })
}

const corner = fc.integer({ min: -5, max: 5 })

describe('bending by SIMD and in plain TypeScript', () => {
  it('gives the same bits: any size, map, colour and region', () => {
    fc.assert(
      fc.property(
        fc.record({
          x: corner,
          y: corner,
          width: fc.integer({ min: 1, max: 45 }),
          height: fc.integer({ min: 1, max: 75 }),
        }),
        fc.record({
          x: corner,
          y: corner,
          width: fc.integer({ min: 1, max: 90 }),
          height: fc.integer({ min: 1, max: 40 }),
        }),
        fc.constantFrom<1 | 8>(1, 8),
        fc.boolean(),
        fc.constantFrom(0.93, 1, 1.004, 1.06, 1.2, 2.7),
        fc.constantFrom(0, 0.01, 0.3, -1),
        fc.constantFrom(0, 0.2, 6),
        fc.tuple(fc.boolean(), fc.boolean(), fc.boolean(), corner, corner),
        (frame, from, step, coloured, zoom, turn, waves, [wild, hole, framed, dx, dy]) => {
          const map = bentMap(frame, step, coloured, zoom, turn, waves)
          const src = source(from, wild, hole)
          const region = {
            x: frame.x + dx,
            y: frame.y + dy,
            width: frame.width + 3,
            height: Math.max(frame.height - 2, 1),
          }
          const twin = plain(src, map, region)
          const check = () => {
            const ours = warp(src, map, region)
            sameBits(ours.image, twin.image)
            expect(ours.coverage === undefined).toBe(twin.coverage === undefined)
            if (ours.coverage !== undefined && twin.coverage !== undefined)
              sameBits(ours.coverage, twin.coverage)
          }
          if (framed) duringFrame(check)
          else check()
        },
      ),
      { numRuns: 400 },
    )
    fast()
  })

  it('gives the same bits for any region as the same part of the whole', () => {
    const frame = { x: 0, y: 0, width: 150, height: 140 }
    const src = source({ x: 3, y: -2, width: 130, height: 141 }, false, true)
    for (const zoom of [1.01, 1.4]) {
      const map = bentMap(frame, 8, true, zoom, 0.02, 0.4)
      const whole = warp(src, map, frame)
      for (const region of [
        { x: 0, y: 0, width: 150, height: 1 },
        { x: 63, y: 61, width: 9, height: 70 },
        { x: 149, y: 139, width: 1, height: 1 },
        { x: 2, y: 64, width: 147, height: 64 },
      ]) {
        const part = warp(src, map, region)
        for (const key of ['image', 'coverage'] as const) {
          const rows = emptyImage(region)
          for (let y = 0; y < region.height; y++) {
            const i = 4 * ((y + region.y) * frame.width + region.x)
            rows.data.set(
              (whole[key] as FloatImage).data.subarray(i, i + 4 * region.width),
              4 * y * region.width,
            )
          }
          sameBits(part[key] as FloatImage, rows)
        }
      }
    }
  })

  it('passes by rows and fours of which the source holds nothing, with nothing in them', () => {
    const frame = { x: 0, y: 0, width: 200, height: 256 }
    const map = bentMap(frame, 8, true, 1.003, 0, 0.2)
    const src = emptyImage(frame)
    for (let y = 30; y < 40; y++) src.data.fill(0.5, 4 * (200 * y + 20), 4 * (200 * y + 30))
    const rows = vi.spyOn(simd, 'warpColouredRow')
    const ours = warp(src, map, frame)
    sameBits(ours.image, plain(src, map, frame).image)
    // Rows of which the source holds nothing are passed by whole.
    expect(rows).toHaveBeenCalledTimes(64)
    rows.mockRestore()
  })
})
