import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  allocateFrame,
  type FloatImage,
  hash,
  type NativeFrame,
  type PixelLayout,
  uniform,
} from '../../core/index.js'
import type { Coding } from './coding.js'
import { patch, patchRegion } from './patch.js'
import { unpack } from './unpack.js'

const coding: Coding = { range: 'limited', matrix: 'bt709', siting: 'left' }
const layout = (subX: 0 | 1 | 2, subY: 0 | 1, bits = 10): PixelLayout => ({
  family: 'yuv',
  bits,
  float: false,
  subX,
  subY,
  alpha: false,
})
const rgbFloat: PixelLayout = { ...layout(0, 0, 32), family: 'rgb', float: true }
const display: Coding = { range: 'full', matrix: 'rgb', siting: 'left' }

function plate(l: PixelLayout, width: number, height: number): NativeFrame {
  const frame = allocateFrame(l, width, height)
  frame.planes.forEach((plane, p) => {
    for (let i = 0; i < plane.data.length; i++) {
      plane.data[i] = l.float ? 4 * uniform(7, 0, i, 0, p) - 1 : hash(7, 0, i, 0, p) >>> (32 - l.bits)
    }
  })
  return frame
}

const clone = (f: NativeFrame): NativeFrame => ({
  ...f,
  planes: f.planes.map((p) => ({ ...p, data: p.data.slice() })),
})
const copy = (i: FloatImage): FloatImage => ({ region: i.region, data: i.data.slice() })

const layouts = fc.constantFrom(
  layout(0, 0),
  layout(1, 0),
  layout(1, 1),
  layout(1, 1, 8),
  layout(2, 0, 8),
  rgbFloat,
)
const sitings = fc.constantFrom('left', 'centre', 'top-left')

describe('patch', () => {
  it('leaves every bit where nothing changed, touched or not', () => {
    fc.assert(
      fc.property(
        layouts,
        sitings,
        fc.integer({ min: 1, max: 11 }),
        fc.integer({ min: 1, max: 11 }),
        (l, siting, w, h) => {
          const frame = plate(l, w, h)
          const c = { ...(l.family === 'rgb' ? display : coding), siting } as Coding
          const before = unpack(frame, c, { x: 0, y: 0, width: w, height: h })
          const base = clone(frame)
          patch(base, before, copy(before), new Float32Array(w * h).fill(1), new Uint8Array(w * h).fill(1), c)
          expect(base).toEqual(frame)
        },
      ),
    )
  })

  it('changes exactly the samples whose footprint holds the touched pixel', () => {
    for (const [siting, xs, ys] of [
      ['left', [2, 3], [1, 2]],
      ['centre', [2, 3], [1, 2]],
      ['top-left', [2, 3], [1, 2]],
    ] as const) {
      // Pixel (5, 3): cosited chroma 2 and 3 (at 4 and 6) reach it, rows by siting: centred 1 (2.5) and 2 (4.5).
      const c: Coding = { ...coding, siting }
      const frame = plate(layout(1, 1), 12, 8)
      for (const p of frame.planes) p.data.fill(400)
      const before = unpack(frame, c, { x: 0, y: 0, width: 12, height: 8 })
      const after = copy(before)
      after.data.set([0.9, 0.1, 0.1], 4 * (3 * 12 + 5))
      const touched = new Uint8Array(96)
      touched[3 * 12 + 5] = 1
      const keep = new Float32Array(96).fill(1)
      keep[3 * 12 + 5] = 0
      patch(frame, before, after, keep, touched, c)
      const changed = [...frame.planes[2].data.keys()].filter((i) => frame.planes[2].data[i] !== 400)
      expect(changed).toEqual(ys.flatMap((y) => xs.map((x) => 6 * y + x)))
      expect([...frame.planes[0].data.keys()].filter((i) => frame.planes[0].data[i] !== 400)).toEqual([41])
    }
  })

  it('covers wholly: new samples are those of the new picture, rounded to nearest', () => {
    const frame = plate(layout(1, 1), 8, 6)
    const before = unpack(frame, coding, { x: 0, y: 0, width: 8, height: 6 })
    const after = copy(before)
    for (let i = 0; i < after.data.length; i += 4) after.data.set([0.75, 0.25, 0.1, 1], i)
    patch(frame, before, after, new Float32Array(48), new Uint8Array(48).fill(1), coding)
    // colour-science 0.4.6, BT.709 limited 10 bit.
    expect(new Set(frame.planes[0].data)).toEqual(new Set([367]))
    expect(new Set(frame.planes[1].data)).toEqual(new Set([393]))
    expect(new Set(frame.planes[2].data)).toEqual(new Set([742]))
  })

  it('gives back what chroma lost, as far as the plate still shows', () => {
    const frame = plate(layout(1, 1), 16, 16)
    const untouched = clone(frame)
    const before = unpack(frame, coding, { x: 0, y: 0, width: 16, height: 16 })
    const after = copy(before)
    for (let i = 0; i < after.data.length; i += 4) {
      for (let c = 0; c < 3; c++) after.data[i + c] += 0.01
    }
    patch(frame, before, after, new Float32Array(256).fill(1), new Uint8Array(256).fill(1), coding)
    // A grey lift of 0.01 is 8.76 codes of luma and nothing of chroma.
    expect(frame.planes[1].data).toEqual(untouched.planes[1].data)
    frame.planes[0].data.forEach((v, i) => {
      expect(v).toBe(Math.min(untouched.planes[0].data[i] + 9, 1023))
    })
  })

  it('gives the same samples from the needed region as from the whole', () => {
    fc.assert(
      fc.property(layouts, sitings, fc.nat(20), fc.nat(14), (l, siting, px, py) => {
        const w = 21
        const h = 15
        const c = { ...(l.family === 'rgb' ? display : coding), siting } as Coding
        const frame = plate(l, w, h)
        const run = (region: { x: number; y: number; width: number; height: number }) => {
          const base = clone(frame)
          const before = unpack(base, c, region)
          const after = copy(before)
          const keep = new Float32Array(region.width * region.height).fill(1)
          const touched = new Uint8Array(keep.length)
          const at = (py - region.y) * region.width + px - region.x
          after.data.set([0.2, 0.9, 1.1], 4 * at)
          keep[at] = 0.3
          touched[at] = 1
          patch(base, before, after, keep, touched, c)
          return base
        }
        const needed = patchRegion({ x: px, y: py, width: 1, height: 1 }, l, w, h)
        expect(run(needed)).toEqual(run({ x: 0, y: 0, width: w, height: h }))
      }),
    )
  })

  it('lets no NaN survive where it is touched, and clamps to the type', () => {
    const frame = plate(rgbFloat, 2, 1)
    frame.planes[0].data[0] = Number.NaN
    frame.planes[1].data[0] = Number.POSITIVE_INFINITY
    frame.planes[0].data[1] = Number.NaN
    const before = unpack(frame, display, { x: 0, y: 0, width: 2, height: 1 })
    const after = copy(before)
    after.data.set([0.5, 0.25, Number.NaN, 1], 0)
    patch(frame, before, after, Float32Array.of(1, 1), Uint8Array.of(1, 0), display)
    expect(frame.planes.map((p) => p.data[0])).toEqual([0.5, 0.25, 0])
    expect(frame.planes[0].data[1]).toBeNaN()

    const eight = plate(layout(0, 0, 8), 1, 1)
    const whole = { x: 0, y: 0, width: 1, height: 1 }
    const loud = { region: whole, data: Float32Array.of(9, 9, 9, 1) }
    patch(eight, unpack(eight, coding, whole), loud, Float32Array.of(0), Uint8Array.of(1), coding)
    expect(eight.planes[0].data[0]).toBe(255)
  })

  it('refuses touched pixels whose chroma reaches outside the region', () => {
    const frame = plate(layout(1, 1), 16, 16)
    const before = unpack(frame, coding, { x: 4, y: 4, width: 8, height: 8 })
    const touched = new Uint8Array(64)
    touched[8 * 2 + 3] = 1
    expect(() => patch(frame, before, before, new Float32Array(64), touched, coding)).toThrow('too near')
    touched.fill(0)
    touched[3 * 8 + 3] = 1
    expect(() => patch(frame, before, before, new Float32Array(64).fill(1), touched, coding)).not.toThrow()
  })
})
