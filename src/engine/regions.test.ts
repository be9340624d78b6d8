import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { made, type Scene, scene, yuv } from '../../test/regions/scene.js'
import {
  cutFrame,
  EMPTY,
  emptyImage,
  type FloatImage,
  type NativeFrame,
  type Region,
  union,
} from '../core/index.js'
import { duringScratch, memory, takeBytes } from '../kernels/wasm/memory.js'
import type { FrameInput, FrameMaker } from './frame.js'

const bytes = (f: NativeFrame) =>
  f.planes.map(({ data, width, height }) => ({
    width,
    height,
    hex: Buffer.from(data.buffer, data.byteOffset, data.byteLength).toString('hex'),
  }))

/** The picture with nothing around it, as large as a region. */
function paddedTo(region: Region, { region: r, data }: FloatImage): FloatImage {
  const image = emptyImage(region)
  for (let y = 0; y < r.height; y++) {
    const row = data.subarray(4 * y * r.width, 4 * (y + 1) * r.width)
    image.data.set(row, 4 * ((y + r.y) * region.width + r.x))
  }
  return image
}

/** Fills the scratch memory that the next frame is made in: what nobody wrote is then seen. */
function poison(byte: number): void {
  const bytes = 12 * 2 ** 20
  duringScratch(() => {
    const start = takeBytes(bytes)
    new Uint8Array(memory.buffer, start, bytes).fill(byte)
  })
}

/** The window that was made has the bytes of that part of the whole. */
function expectPart(maker: FrameMaker, input: FrameInput, whole: NativeFrame, window: Region): Region {
  const part = maker.make(input, false, window)
  expect(bytes(part.frame)).toEqual(bytes(cutFrame(whole, part.window)))
  return part.window
}

/** A small element whose placing finds rows where its filter is exactly 0. */
const exact = {
  ...{
    width: 1,
    height: 33,
    layout: yuv(8, 1, 1),
    format: 'prores-422-hq',
    grain: false,
    nested: false,
    plateBlur: undefined,
  },
  ...{ bent: false, wild: false, number: 0, rolls: false },
  elements: [
    {
      ...{
        layout: yuv(12, 0, 0, true),
        alpha: 'on-black',
        nature: 'emits',
        width: 1,
        height: 5,
        x: 0.1,
        y: 0.1,
      },
      ...{ scale: 0.4, blur: 0, lights: false, holdout: false, way: undefined, behind: [], goes: 0 },
    },
  ],
} as Scene

it('a frame does not depend on what its memory held before', () => {
  fc.assert(
    fc.property(scene, (s) => {
      const { maker, input } = made(s)
      // Floats of some size, and NaN.
      const frames = [0x3f, 0xff].map((byte) => {
        poison(byte)
        return bytes(maker.make(input).frame)
      })
      expect(frames[1]).toEqual(frames[0])
    }),
    { numRuns: 150, examples: [[exact]] },
  )
})

describe('a frame by regions', () => {
  it('has the bytes of the frame whose layers are as large as the frame', () => {
    fc.assert(
      fc.property(scene, (s) => {
        const { maker, input } = made(s)
        const { frame, touched } = maker.make(input)
        // The plate's own holes are not an element's doing.
        const place = maker.touchable(input)
        if (!(s.wild && s.layout.float)) expect(union(place, touched)).toEqual(union(place, EMPTY))
        const region = { x: 0, y: 0, width: s.width, height: s.height }
        const layers = maker.layers(input).layers.map((layer) => {
          const { image, coverage } = layer
          const padded = coverage === undefined ? undefined : paddedTo(region, coverage)
          return { ...layer, image: paddedTo(region, image), coverage: padded }
        })
        expect(bytes(frame)).toEqual(bytes(maker.compose(input, layers).frame))
      }),
      { numRuns: 40 },
    )
  })

  it('has the bytes of the whole in bands of 16 rows', () => {
    fc.assert(
      fc.property(scene, (s) => {
        const { maker, input } = made(s)
        const { frame } = maker.make(input)
        for (let y = 0; y < s.height; y += 16) {
          const band = { x: 0, y, width: s.width, height: Math.min(16, s.height - y) }
          expect(expectPart(maker, input, frame, band)).toEqual(band)
        }
      }),
      { numRuns: 40 },
    )
  })

  it('has the bytes of the whole in any window', () => {
    const unit = fc.double({ min: 0, max: 0.999, noNaN: true })
    fc.assert(
      fc.property(scene, unit, unit, unit, unit, (s, a, b, c, d) => {
        const { maker, input } = made(s)
        const { frame } = maker.make(input)
        const [x, y] = [Math.floor(a * s.width), Math.floor(b * s.height)]
        const width = 1 + Math.floor(c * (s.width - x))
        const height = 1 + Math.floor(d * (s.height - y))
        expectPart(maker, input, frame, { x, y, width, height })
      }),
      { numRuns: 100 },
    )
  })

  it('has the bytes of the whole where that is laid over in several strips', () => {
    const one = {
      ...{
        width: 301,
        height: 260,
        layout: yuv(10, 1, 0),
        format: 'prores-422-hq',
        grain: true,
        nested: true,
        plateBlur: undefined,
      },
      ...{ bent: true, wild: false, number: 3, rolls: true },
      elements: [0.4, 0.6].map((x) => ({
        ...{
          layout: yuv(12, 0, 0, true),
          alpha: 'straight',
          nature: 'absorbs',
          width: 150,
          height: 170,
          x,
          y: 0.5,
        },
        ...{ scale: 1.7, blur: 4, lights: true, holdout: false, way: undefined, goes: 14 },
        behind: ['shapes', 'luminance', 'depth'],
      })),
    } as Scene
    const { maker, input } = made(one)
    const { frame } = maker.make(input)
    for (let y = 0; y < one.height; y += 52) {
      expectPart(maker, input, frame, { x: 0, y, width: one.width, height: 52 })
    }
    const changed = input.plate.planes.map((p) => ({ ...p, data: p.data.slice() }))
    const inPlace = maker.make({ ...input, plate: { ...input.plate, planes: changed } }, true)
    expect(bytes(inPlace.frame)).toEqual(bytes(frame))
  })
})
