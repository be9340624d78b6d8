/** An element seen through the plate's lens: by regions as whole, and as before where the lens bends nothing. */
import { describe, expect, it } from 'vitest'
import { curveOf } from '../colour/index.js'
import {
  allocateFrame,
  emptyImage,
  type FloatImage,
  type NativeFrame,
  type Region,
  uniform,
} from '../core/index.js'
import { curveTable } from '../kernels/index.js'
import { drawn, type ElementSettings, elementSheet, type Layer } from './element.js'
import { linear } from './lens/aberration/model.js'
import { plateBend } from './lens/bend.js'

const frame: Region = { x: 0, y: 0, width: 150, height: 110 }
const map = { scaleX: 1.1, scaleY: 1.1, originX: 12.3, originY: -8.6 }
const inside = { ...map, originY: 2.2 }

function light(): NativeFrame {
  const layout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: true } as const
  const native = allocateFrame(layout, 90, 96)
  native.planes.forEach(({ data }, p) => {
    for (let i = 0; i < data.length; i++) data[i] = uniform(1, 0, i, 0, 0) * ([0.5, 0.4, 0.3, 1][p] as number)
  })
  return native
}

function layerIn(window: Region, bend: ElementSettings['bend'], place = map): Layer {
  return drawn(
    elementSheet(
      { frame: light() },
      settings(bend),
      { map: place, ends: undefined },
      { frame, window },
      false,
    ).sheet,
  )
}

/** What the picture holds in `region`; nothing outside its own. */
function inRegion({ region: r, data }: FloatImage, region: Region): Float32Array {
  const out = emptyImage(region)
  for (let y = Math.max(r.y, region.y); y < Math.min(r.y + r.height, region.y + region.height); y++) {
    for (let x = Math.max(r.x, region.x); x < Math.min(r.x + r.width, region.x + region.width); x++) {
      const from = 4 * ((y - r.y) * r.width + x - r.x)
      out.data.set(data.subarray(from, from + 4), 4 * ((y - region.y) * region.width + x - region.x))
    }
  }
  return out.data
}

function settings(bend: ElementSettings['bend']): ElementSettings {
  return {
    id: 'a',
    alpha: 'premultiplied',
    coding: { range: 'limited', matrix: 'bt709', siting: 'left' },
    decode: curveTable(curveOf('linear').decode),
    toPlate: undefined,
    emits: 1,
    coverage: 1,
    ceiling: undefined,
    floor: [0, 0, 0],
    floorNoise: [0, 0, 0],
    match: undefined,
    emissionGain: [1, 1, 1],
    transmittance: [0.9, 0.9, 0.9],
    airlight: [0.2, 0.2, 0.2],
    blurRadius: 2.5,
    blurByColour: [1, 1],
    blurField: undefined,
    aperture: undefined,
    vignette: undefined,
    glare: undefined,
    bend,
    variance: [0, 0, 0],
    sensorShare: 1,
    inCamera: undefined,
    ownOpen: 0,
    plateOpen: 0,
    metresPerPixel: undefined,
    castFactor: 0,
    surfaces: [
      {
        polygon: [
          [0, 0],
          [9, 0],
          [0, 9],
        ],
        awayM: 1,
        nearest: undefined,
        turnedDeg: 0,
        reflectance: 0.2,
        featherPx: 8,
        mean: [0.2, 0.2, 0.2],
      },
    ],
  }
}

describe("an element through the plate's lens", () => {
  const bend = plateBend(
    frame,
    { form: 'brown-conrady', terms: [-0.03, 0.002, 0, 0, 0] },
    linear([1.003, 0.998]),
  )
  const whole = layerIn(frame, bend)

  it('by regions equals the whole, light and coverage', () => {
    for (const region of [
      { x: 0, y: 0, width: 150, height: 37 },
      { x: 61, y: 13, width: 23, height: 80 },
      { x: 109, y: 91, width: 12, height: 19 },
    ]) {
      const part = layerIn(region, bend)
      for (const key of ['image', 'coverage'] as const) {
        expect(inRegion(part[key] as FloatImage, region)).toEqual(inRegion(whole[key] as FloatImage, region))
      }
    }
  })

  // About (45, 48): r² = (30² + 7²) / (74.5² + 54.5²) = 0.1114; light by 1 − r²/2, its variance by the square.
  it('its own grain goes with the light that the vignette takes', () => {
    const at = (vignette: ElementSettings['vignette']) => {
      const map = { scaleX: 1, scaleY: 1, originX: 0, originY: 0 }
      const s = { ...settings(undefined), variance: [1e-4, 1e-4, 1e-4] as const, vignette }
      return elementSheet({ frame: light() }, s, { map, ends: undefined }, { frame, window: frame }, false)
        .sheet.variance[1]
    }
    expect(at([-0.5, 0, 0]) / at(undefined)).toBeCloseTo((1 - 0.1114 / 2) ** 2, 4)
  })

  it('the emitter lies where the lens draws it', () => {
    const straight = layerIn(frame, undefined, inside)
    const through = layerIn(frame, bend, inside)
    const { emission } = straight
    const [x, y] = bend?.drawn(emission?.x as number, emission?.y as number) ?? []
    expect(through.emission?.x).toBeCloseTo(x as number, 1)
    expect(through.emission?.y).toBeCloseTo(y as number, 1)
    expect(straight.coverage).toBeUndefined()
  })
})
