import { describe, expect, it } from 'vitest'
import { curveOf } from '../colour/index.js'
import {
  allocateFrame,
  type ColourEncoding,
  emptyImage,
  type PixelLayout,
  type Region,
} from '../core/index.js'
import { curveTable } from '../kernels/index.js'
import { composeFrame } from './compose.js'
import { type Layer, sheetOf } from './element.js'
import { type InCamera, inCameraReach, slopesOf } from './inCamera.js'
import type { ComposeSettings } from './layOver.js'
import { grainModel } from './sensor/grain/model.js'

const WIDTH = 72
const HEIGHT = 48
const EDGE = 36
const frame: Region = { x: 0, y: 0, width: WIDTH, height: HEIGHT }
const layout: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false }
const encoding: ColourEncoding = {
  ...{ range: 'full', matrix: 'rgb', curve: 'bt709', primaries: 'bt709', siting: 'centre' },
}
const { decode, encode } = curveOf('bt709')
const LUMA = [0.2126, 0.7152, 0.0722] as const

function settings(c: InCamera | undefined, grain?: ComposeSettings['grain']): ComposeSettings {
  const tables = { decode: curveTable(decode), encode: curveTable(encode) }
  return {
    ...{ frame, steps: [{ id: 'a', part: 'whole' }], casts: new Map(), blur: undefined, grain },
    ...{ limits: undefined, ...tables, delivery: { from: encoding, to: encoding, layout, ...tables } },
    codes: c && { ...tables, slope: slopesOf(decode), luma: { kr: LUMA[0], kb: LUMA[2] } },
    codeReach: inCameraReach(c),
  }
}

function plateOf(code: (x: number, y: number, c: number) => number) {
  const plate = allocateFrame(layout, WIDTH, HEIGHT)
  plate.planes.forEach((plane, c) => {
    for (let p = 0; p < plane.data.length; p++) plane.data[p] = code(p % WIDTH, Math.floor(p / WIDTH), c)
  })
  return plate
}

/** One colour in codes, `alpha` of it, from column `from` on. */
function card(code: readonly number[], alpha: number, from: number, inCamera: InCamera | undefined): Layer {
  const image = emptyImage({ x: from, y: 0, width: WIDTH - from, height: HEIGHT })
  for (let i = 0; i < image.data.length; i += 4) {
    for (let c = 0; c < 3; c++) image.data[i + c] = alpha * decode(code[c]!)
    image.data[i + 3] = alpha
  }
  const none = { coverage: undefined, emission: undefined, sensorShare: 1 }
  return { id: 'a', image, variance: [0, 0, 0], inCamera, ...none }
}

function made(c: InCamera | undefined, plate: ReturnType<typeof plateOf>, layer: Layer, wanted = frame) {
  return composeFrame(plate, [sheetOf(layer)], 0, settings(c), wanted)
}

/** Φ by the trapezium rule: no table of the program's. */
function normal(x: number): number {
  let sum = 0
  for (let t = -8; t < x; t += 1e-3) sum += Math.exp((-t * t) / 2) * 1e-3
  return sum / Math.sqrt(2 * Math.PI)
}
/** What a Gaussian leaves of a step at EDGE, in the middle of a pixel; the sampled one is a step between pixels. */
const blurred = (x: number, sigma: number) => normal((x - EDGE + 0.5) / sigma)

const SHARP: InCamera = { smear: 0, chroma: undefined, sharpen: { amount: 0.8, radius: 2 } }

describe('a card in a camera that sharpens', () => {
  const plate = plateOf(() => 0.3)
  const layer = card([0.6, 0.6, 0.6], 1, EDGE, SHARP)
  const { frame: out, touched } = made(SHARP, plate, layer)
  const at = (x: number, c = 1) => out.planes[c]!.data[20 * WIDTH + x]!

  it('swings beyond both sides of its edge as Y + a (Y − w∗Y) says', () => {
    for (const x of [30, 33, 35, 36, 38, 41]) {
      const own = x >= EDGE ? 1 : 0
      const expected = 0.3 + 0.3 * (own + 0.8 * (own - blurred(x, 2)))
      expect(Math.abs(at(x) - expected)).toBeLessThan(2e-3)
    }
  })

  it('stays grey, and its plate beyond the reach is the same to the bit', () => {
    expect(at(37, 0)).toBeCloseTo(at(37, 1), 5)
    const reach = inCameraReach(SHARP)
    for (let x = 0; x < EDGE - reach; x++) expect(at(x)).toBe(plate.planes[1]!.data[x])
    expect(touched.x).toBeGreaterThanOrEqual(EDGE - reach)
    expect(touched.x).toBeLessThan(EDGE - 2)
  })

  it('is the same when only a part of the picture is made', () => {
    for (const wanted of [
      { x: 28, y: 10, width: 9, height: 7 },
      { x: 36, y: 0, width: 20, height: 5 },
    ]) {
      const part = made(SHARP, plate, layer, wanted)
      for (let y = 0; y < wanted.height; y++)
        for (let x = 0; x < wanted.width; x++)
          expect(part.frame.planes[0]!.data[y * wanted.width + x]).toBe(
            out.planes[0]!.data[(y + wanted.y) * WIDTH + x + wanted.x],
          )
    }
  })
})

it('the plate’s own edge seen through a layer is not sharpened once more', () => {
  const plate = plateOf((x) => (x < 20 ? 0.35 : 0.5))
  const plain = made(undefined, plate, card([0.4, 0.4, 0.4], 0.5, 0, undefined)).frame
  const sharp = made(SHARP, plate, card([0.4, 0.4, 0.4], 0.5, 0, SHARP)).frame
  const step = Math.abs(plain.planes[1]!.data[25]! - plain.planes[1]!.data[15]!)
  let most = 0
  plain.planes[1]!.data.forEach((v, i) => {
    most = Math.max(most, Math.abs(v - sharp.planes[1]!.data[i]!))
  })
  // Once more would be 0.3 of the step; the curve's bend over it is what is left.
  expect(most).toBeLessThan(0.05 * step)
})

it('a card’s colour runs out as a Gaussian while its luma stays', () => {
  const soft: InCamera = { smear: 0, chroma: 2, sharpen: undefined }
  const grey = LUMA[0] * 0.7 + LUMA[1] * 0.4 + LUMA[2] * 0.4
  const { frame: out } = made(
    soft,
    plateOf(() => grey),
    card([0.7, 0.4, 0.4], 1, EDGE, soft),
  )
  for (const x of [30, 34, 36, 39]) {
    const [r, g, b] = [0, 1, 2].map((c) => out.planes[c]!.data[20 * WIDTH + x]!) as [number, number, number]
    const luma = LUMA[0] * r + LUMA[1] * g + LUMA[2] * b
    expect(Math.abs(luma - grey)).toBeLessThan(1e-4)
    expect(Math.abs(r - luma - (0.7 - grey) * blurred(x, 2))).toBeLessThan(1e-3)
  }
})

it('faint detail goes where it is weaker than the plate’s noise, and strong detail stays', () => {
  const grain = grainModel({
    ...{ levels: [0.01, 1], variance: Array(6).fill(1e-4), correlation: Array(12).fill(0), mix: [0, 0, 0] },
    ...{ cross: [], coarse: [], coarseSize: [], coarseMix: [] },
  })
  const smeared: InCamera = { smear: 3, chroma: undefined, sharpen: undefined }
  const detail = (height: number) => {
    const layer = card([0.4, 0.4, 0.4], 1, 0, smeared)
    const { data } = layer.image
    for (let p = 0; p < data.length / 4; p++) {
      const up = (p % WIDTH) % 2 === 0 ? 1 : -1
      for (let c = 0; c < 3; c++) data[4 * p + c] = decode(0.4 + up * height)
    }
    // Noise of its own as strong as the level's, so that none is added.
    const full = { ...layer, variance: [1e-4, 1e-4, 1e-4] as const }
    const { frame: out } = composeFrame(
      plateOf(() => 0.4),
      [sheetOf(full)],
      0,
      settings(smeared, grain),
    )
    return (
      Math.abs(out.planes[1]!.data[24 * WIDTH + 30]! - out.planes[1]!.data[24 * WIDTH + 31]!) / (2 * height)
    )
  }
  // σ = 0.01 in light is about 0.012 in codes there; T is three times that.
  expect(detail(0.004)).toBeLessThan(0.1)
  expect(detail(0.2)).toBeGreaterThan(0.9)
})
