/** Our planes against zscale (zimg inside FFmpeg 8.1 through node-av), which shares no code with them. */
import fc from 'fast-check'
import { avGetPixFmtFromName, avGetPixFmtName, Filter, FilterGraph, FilterInOut, Frame } from 'node-av/lib'
import { describe, expect, it } from 'vitest'
import { frameOf } from '../../../test/media/avFrame.js'
import {
  allocateFrame,
  hash,
  type NativeFrame,
  type PixelLayout,
  planeSize,
  type Siting,
} from '../../core/index.js'
import { convertFrame } from '../convert/apply.js'
import type { Coding } from './coding.js'
import { unpack } from './unpack.js'

/** FFmpeg has no word for the three on the right: those are tested by mirroring in `unpack.test.ts`. */
const sites: Partial<Record<Siting, string>> = {
  left: 'left',
  centre: 'center',
  'top-left': 'topleft',
  top: 'top',
  'bottom-left': 'bottomleft',
  bottom: 'bottom',
}
const matrices = { bt601: 'smpte170m', bt709: 'bt709', bt2020: 'bt2020nc', rgb: 'gbr' } as const
const zMatrices = { bt601: '170m', bt709: '709', bt2020: '2020_ncl', rgb: 'gbr' } as const

function formatName(l: PixelLayout): string {
  if (l.family === 'rgb') return l.float ? 'gbrpf32le' : `gbrp${l.bits === 8 ? '' : `${l.bits}le`}`
  const sub = l.subX === 0 ? '444' : l.subX === 2 ? '411' : l.subY === 1 ? '420' : '422'
  return `yuv${sub}p${l.bits === 8 ? '' : `${l.bits}le`}`
}

/** FFmpeg's planar RGB lies G, B, R. */
function order(l: PixelLayout): readonly number[] {
  return l.family === 'rgb' ? [1, 2, 0] : [0, 1, 2]
}

function zscale(frame: NativeFrame, from: Coding, layout: PixelLayout, to: Coding): NativeFrame {
  const graph = new FilterGraph()
  graph.alloc()
  const format = avGetPixFmtFromName(formatName(frame.layout))
  const range = from.range === 'limited' ? 'tv' : 'pc'
  const source = graph.createFilter(
    Filter.getByName('buffer')!,
    'in',
    `video_size=${frame.width}x${frame.height}:pix_fmt=${format}:time_base=1/24:pixel_aspect=1/1:` +
      `colorspace=${matrices[from.matrix]}:range=${range}`,
  )!
  const sink = graph.createFilter(Filter.getByName('buffersink')!, 'out', null)!
  const outputs = new FilterInOut()
  outputs.alloc()
  outputs.name = 'in'
  outputs.filterCtx = source
  outputs.padIdx = 0
  const inputs = new FilterInOut()
  inputs.alloc()
  inputs.name = 'out'
  inputs.filterCtx = sink
  inputs.padIdx = 0
  const tags =
    `setparams=range=${range}:colorspace=${matrices[from.matrix]}:color_primaries=bt709:color_trc=bt709:` +
    `chroma_location=${sites[from.siting]}`
  const scale =
    `zscale=m=${zMatrices[to.matrix]}:r=${to.range}:d=none:f=bilinear:` +
    `cin=${sites[from.siting]}:c=${sites[to.siting]}`
  expect(
    graph.parsePtr(`${tags},${scale},format=${formatName(layout)}`, inputs, outputs),
  ).toBeGreaterThanOrEqual(0)
  expect(graph.configSync()).toBeGreaterThanOrEqual(0)
  const bytes = Buffer.concat(
    order(frame.layout).map((p) => {
      const { data } = frame.planes[p]
      return Buffer.from(data.buffer, data.byteOffset, data.byteLength)
    }),
  )
  const input = frameOf(bytes, frame.width, frame.height, format)
  input.pts = 0n
  expect(source.buffersrcAddFrameSync(input)).toBeGreaterThanOrEqual(0)
  const output = new Frame()
  output.alloc()
  expect(sink.buffersinkGetFrameSync(output)).toBeGreaterThanOrEqual(0)
  expect(avGetPixFmtName(output.format as never)).toBe(formatName(layout))
  const raw = output.toBuffer()
  const copy = raw.buffer.slice(raw.byteOffset, raw.byteOffset + raw.byteLength)
  output.free()
  input.free()
  graph.free()
  const result = allocateFrame(layout, frame.width, frame.height)
  let at = 0
  for (const p of order(layout)) {
    const plane = result.planes[p]
    const count = plane.data.length
    const view = layout.float
      ? new Float32Array(copy, at, count)
      : layout.bits > 8
        ? new Uint16Array(copy, at, count)
        : new Uint8Array(copy, at, count)
    plane.data.set(view)
    at += plane.data.byteLength
  }
  return result
}

const layoutOf = (bits: number, subX: 0 | 1 | 2, subY: 0 | 1): PixelLayout => ({
  family: 'yuv',
  bits,
  float: false,
  subX,
  subY,
  alpha: false,
})
const rgb = (bits: number): PixelLayout => ({ ...layoutOf(bits, 0, 0), family: 'rgb' })
const rgbFloat: PixelLayout = { ...rgb(32), float: true }
const display: Coding = { range: 'full', matrix: 'rgb', siting: 'left' }

/** Smooth colour with hashed noise, anywhere in the type's range or inside the limited range alone. */
function noise(
  layout: PixelLayout,
  width: number,
  height: number,
  seed: number,
  nominal = false,
): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  const top = 2 ** layout.bits - 1
  frame.planes.forEach((plane, p) => {
    const size = planeSize(layout, width, height, p)
    for (let i = 0; i < plane.data.length; i++) {
      const x = i % size.width
      const y = Math.floor(i / size.width)
      const smooth = 0.5 + 0.3 * Math.sin((x * (p + 1)) / 5 + y / 3)
      const value = top * (smooth + 0.4 * (hash(seed, 0, x, y, p) / 2 ** 32 - 0.5))
      const least = nominal ? 16 * 2 ** (layout.bits - 8) : 0
      const most = nominal ? 235 * 2 ** (layout.bits - 8) : top
      plane.data[i] = Math.min(Math.max(Math.round(value), least), most)
    }
  })
  return frame
}

function worst(a: NativeFrame, b: NativeFrame): number {
  let most = 0
  a.planes.forEach((plane, p) => {
    const other = b.planes[p].data
    for (let i = 0; i < plane.data.length; i++) {
      most = Math.max(most, Math.abs(plane.data[i] - other[i]))
    }
  })
  return most
}

const codings = fc.record({
  range: fc.constantFrom('limited', 'full'),
  matrix: fc.constantFrom('bt601', 'bt709', 'bt2020'),
  siting: fc.constantFrom('left', 'centre', 'top-left', 'top', 'bottom-left', 'bottom'),
})
const samplings = fc.constantFrom<[0 | 1 | 2, 0 | 1]>([0, 0], [1, 0], [1, 1], [2, 0])

describe('unpack against zscale, bilinear, to float R′G′B′', () => {
  it('agrees to 2e-6 in every matrix, range, siting, subsampling and depth', () => {
    fc.assert(
      fc.property(
        codings,
        samplings,
        fc.constantFrom(8, 10, 12),
        fc.integer({ min: 2, max: 9 }),
        fc.integer({ min: 2, max: 9 }),
        fc.integer(),
        (coding, [subX, subY], bits, w, h, seed) => {
          const layout = layoutOf(subX === 2 ? 8 : bits, subX, subY)
          const frame = noise(layout, 4 * w, 4 * h, seed)
          const oracle = zscale(frame, coding as Coding, rgbFloat, display)
          const region = { x: 0, y: 0, width: frame.width, height: frame.height }
          const ours = unpack(frame, coding as Coding, region).data
          let most = 0
          for (let i = 0; i < ours.length; i += 4) {
            for (let c = 0; c < 3; c++)
              most = Math.max(most, Math.abs(ours[i + c] - oracle.planes[c].data[i >> 2]))
          }
          expect(most).toBeLessThan(2e-6)
        },
      ),
      { numRuns: 80 },
    )
  })
})

describe('convertFrame against zscale', () => {
  it('luma and chroma to luma and chroma within one code of the coarser depth, from nominal codes', () => {
    fc.assert(
      fc.property(
        codings,
        codings,
        samplings,
        samplings,
        fc.constantFrom(8, 10, 12),
        fc.constantFrom(8, 10, 12),
        fc.integer(),
        (from, to, a, b, bitsA, bitsB, seed) => {
          const source = layoutOf(a[0] === 2 ? 8 : bitsA, a[0], a[1])
          const target = layoutOf(b[0] === 2 ? 8 : bitsB, b[0], b[1])
          const same = { ...to, matrix: from.matrix } as Coding
          // Codes beyond the nominal range zscale clips before it filters, where the new range cannot hold them.
          const frame = noise(source, 32, 24, seed, from.range === 'limited' && to.range === 'full')
          const oracle = zscale(frame, from as Coding, target, same)
          // It also rounds to the source's depth between and after its two passes.
          const coarser = Math.max(1, Math.ceil(1.2 * 2 ** (target.bits - source.bits)))
          expect(worst(convertFrame(frame, from as Coding, target, same), oracle)).toBeLessThanOrEqual(
            coarser,
          )
        },
      ),
      { numRuns: 80 },
    )
  })

  it('R, G, B to luma and chroma and back within one code', () => {
    fc.assert(
      fc.property(
        codings,
        samplings,
        fc.constantFrom(8, 10, 16),
        fc.constantFrom(8, 10, 12),
        fc.integer(),
        (c, s, a, b, seed) => {
          const coding = c as Coding
          const layout = layoutOf(s[0] === 2 ? 8 : b, s[0], s[1])
          const picture = noise(rgb(a), 32, 24, seed)
          const forth = zscale(picture, display, layout, coding)
          expect(worst(convertFrame(picture, display, layout, coding), forth)).toBeLessThanOrEqual(1)
          const back = zscale(forth, coding, rgb(a), display)
          expect(worst(convertFrame(forth, coding, rgb(a), display), back)).toBeLessThanOrEqual(1)
        },
      ),
      { numRuns: 60 },
    )
  })
})
