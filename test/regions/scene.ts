/** Scenes of any kind for the engine's property tests: plates, elements, lenses, tracks and holdouts drawn by chance. */
import fc from 'fast-check'
import {
  allocateFrame,
  type ColourEncoding,
  type NativeFrame,
  type PixelLayout,
  uniform,
} from '../../src/core/index.js'
import { type FrameInput, FrameMaker } from '../../src/engine/frame.js'
import type { Picture, Plan } from '../../src/engine/plan.js'
import type { KnownTrack } from '../../src/engine/tracks.js'
import { type DeliveryFormat, deliveryEncoding, deliveryLayout } from '../../src/media/index.js'
import { parseShot } from '../../src/shot/index.js'

export const yuv = (bits: number, subX: 0 | 1 | 2, subY: 0 | 1, alpha = false): PixelLayout => ({
  ...{ family: 'yuv', bits, float: false, subX, subY, alpha },
})
const rgb = (bits: number, float = false, alpha = false): PixelLayout => ({
  ...{ family: 'rgb', bits, float, subX: 0, subY: 0, alpha },
})
const PLATES = [yuv(8, 1, 1), yuv(10, 1, 0), yuv(12, 0, 0), yuv(8, 2, 0), rgb(16), rgb(32, true)]
const FLOAT = rgb(32, true, true)
const ELEMENTS = [yuv(12, 0, 0, true), yuv(8, 1, 1), rgb(16, false, true), FLOAT]
const FORMATS = ['prores-422-hq', 'prores-4444', 'h264-preview', 'exr-half', 'png-16'] as const
const ALPHAS = ['straight', 'premultiplied', 'on-black', 'none'] as const
const NATURES = ['emits', 'absorbs', 'reflects', { emits: 0.5, absorbs: 0.5 }] as const
const GRAIN = {
  'sensor.grainLevels': [0.05, 0.5],
  'sensor.grainVariance': [1e-4, 9e-4, 1e-4, 9e-4, 1e-4, 9e-4],
}
const LENS = {
  'lens.distortion': [-0.06, 0.01, 0.002, -0.001, 0],
  'lens.aberration': [1.02, 0.98],
  'lens.blurByColour': [1.3, 0.6],
  'lens.vignette': [-0.8, 0.2, 0],
  'lens.blades': [6],
  'lens.bladeRotation': [12],
  'lens.squeeze': [0.6],
  'lens.cornerCut': [0.8],
  'lens.glareShare': [0.1],
  'lens.glareWidth': [3],
}

/** Motions of the plate, on a frame of unit size: turned, seen from the side, with its horizon in the picture, bent. */
const WAYS = ['turned', 'tilted', 'horizon', 'bent', 'sharply bent'] as const
const NODES = { bent: 0.004, 'sharply bent': 0.05 } as const

function trackOf(way: (typeof WAYS)[number], width: number, height: number): KnownTrack {
  const mesh = {
    x: 0.1 * width,
    y: 0.2 * height,
    width: 0.7 * width,
    height: 0.6 * height,
    columns: 4,
    rows: 3,
  }
  const unit = {
    turned: [0.9, -0.4, 0.2, 0.4, 0.9, -0.15, 0, 0, 1],
    tilted: [0.9, 0.1, 0.05, -0.1, 0.8, 0.1, 0.3, -0.2, 1],
    horizon: [0.7, 0, 0.2, 0, 0.6, 0.3, -0.2, -1.6, 1],
    bent: [1, 0.1, 0, -0.05, 0.9, 0.1, 0, 0, 1],
    'sharply bent': [1, 0.1, 0, -0.05, 0.9, 0.1, 0.1, 0, 1],
  }[way]
  const size = [width, height, 1]
  const matrix = unit.map((v, i) => (v * (size[Math.floor(i / 3)] as number)) / (size[i % 3] as number))
  const bends = way === 'bent' || way === 'sharply bent'
  const nodes = Array.from(
    { length: 24 },
    (_, k) => Math.min(width, height) * (bends ? NODES[way] : 0) * Math.sin(5 * k),
  )
  return {
    platefitTrack: 1,
    id: way.replace(' ', '-'),
    madeFrom: '0'.repeat(64),
    plate: { width, height },
    reference: 0,
    jumps: [],
    motion: bends ? 'mesh' : 'homography',
    frames: [
      { frame: 0, state: 'tracked', matrix, spreadPx: 0, agree: 9, seen: 9, ...(bends ? { nodes } : {}) },
    ],
    ...(bends ? { mesh } : {}),
  }
}

const element = fc.record({
  layout: fc.constantFrom(...ELEMENTS),
  alpha: fc.constantFrom(...ALPHAS),
  nature: fc.constantFrom(...NATURES),
  width: fc.integer({ min: 1, max: 34 }),
  height: fc.integer({ min: 1, max: 30 }),
  x: fc.double({ min: 0.1, max: 0.9, noNaN: true }),
  y: fc.double({ min: 0.1, max: 0.9, noNaN: true }),
  scale: fc.constantFrom(0.4, 1, 1.7),
  blur: fc.constantFrom(0, 0.2, 1.3, 4),
  lights: fc.boolean(),
  holdout: fc.boolean(),
  way: fc.option(fc.constantFrom(...WAYS), { nil: undefined }),
  behind: fc.subarray(['shapes', 'luminance', 'depth'] as const),
  /** Plate px a frame; its size too where that is odd. */
  goes: fc.integer({ min: -25, max: 25 }),
})
const common = {
  width: fc.integer({ min: 1, max: 43 }),
  height: fc.integer({ min: 1, max: 37 }),
  layout: fc.constantFrom(...PLATES),
  format: fc.constantFrom(...FORMATS),
  grain: fc.boolean(),
  nested: fc.boolean(),
  bent: fc.boolean(),
  wild: fc.boolean(),
  number: fc.nat(5),
  rolls: fc.boolean(),
  plateBlur: fc.oneof(
    { weight: 6, arbitrary: fc.constant(undefined) },
    { weight: 1, arbitrary: fc.constantFrom('gradient' as const, 'depth' as const) },
  ),
}
/** Any scene; and those in which a link that looks around itself has something to look at. */
export const scene = fc.oneof(
  fc.record({ ...common, elements: fc.array(element, { maxLength: 3 }) }),
  fc.record({
    ...common,
    wild: fc.constant(true),
    elements: fc.tuple(element.map((e) => ({ ...e, layout: FLOAT, scale: 1, blur: 0 }))),
  }),
  fc.record({ ...common, elements: fc.tuple(element.map((e) => ({ ...e, alpha: 'on-black' as const }))) }),
)
export type Scene = typeof scene extends fc.Arbitrary<infer T> ? T : never

const HOLDOUTS = { shapes: ['post'], luminance: { none: 0.3, full: 0.6 }, depth: true }

const set = (value: readonly number[]) => ({ value, evidence: { kind: 'set' } })

function encodingOf(layout: PixelLayout): ColourEncoding {
  const matrix = layout.family === 'rgb' ? 'rgb' : 'bt709'
  const curve = layout.float ? 'linear' : 'bt709'
  return { range: layout.float ? 'full' : 'limited', matrix, curve, primaries: 'bt709', siting: 'left' }
}

function pictureOf(width: number, height: number, layout: PixelLayout): Picture {
  return { width, height, layout, encoding: encodingOf(layout), rate: { num: 24, den: 1 }, frameCount: 9 }
}

/** Noise with an empty border; float samples hold NaN and infinity when `wild`. */
function painted(
  layout: PixelLayout,
  width: number,
  height: number,
  seed: number,
  wild: boolean,
): NativeFrame {
  const frame = allocateFrame(layout, width, height)
  const top = layout.float ? 1 : 2 ** layout.bits - 1
  frame.planes.forEach((plane, p) => {
    for (let i = 0; i < plane.data.length; i++) {
      const x = i % plane.width
      const y = Math.floor(i / plane.width)
      const v = uniform(seed, p, x, y, 0)
      const inside = 3 * x > plane.width && 4 * y > plane.height
      plane.data[i] = p === 3 && !inside ? 0 : top * (0.2 + 0.8 * v)
      if (wild && layout.float && v < 0.05) plane.data[i] = v < 0.03 ? Number.NaN : Number.POSITIVE_INFINITY
    }
  })
  return frame
}

/** Near at the left inside the post, or by the map everywhere. */
function plateBlur({ plateBlur: way, width }: Scene): Record<string, unknown> {
  if (way === undefined) return {}
  const gradient = { shapes: ['post'], gradient: [0, 0, -4, width, 0, 2] }
  return { blur: way === 'gradient' ? gradient : { depth: { endlessPx: 2, focusM: 1.2 } } }
}

export function made(s: Scene): { maker: FrameMaker; input: FrameInput } {
  const plate = pictureOf(s.width, s.height, s.layout)
  const light = {
    polygon: [
      [-3, 2],
      [0.7 * s.width, 0.3 * s.height],
      [0.4 * s.width, s.height + 3],
    ],
    awayM: 0.5,
    featherPx: 3,
  }
  const document = {
    platefit: 1,
    plate: {
      file: 'plate.mov',
      ...plateBlur(s),
      treatments: Object.fromEntries(
        Object.entries({ ...(s.grain ? GRAIN : {}), ...(s.bent ? LENS : {}) }).map(([k, v]) => [k, set(v)]),
      ),
    },
    camera: { sensorWidthMm: 24, focalLengthMm: 35, ...(s.rolls ? { readoutMs: 30 } : {}) },
    tracks: WAYS.map((way) => ({ id: way.replace(' ', '-') })),
    site: { depth: { file: 'depth.exr', unit: 'inverse' } },
    shapes: [
      {
        id: 'post',
        featherPx: 2,
        keys: [0, 5].map((k) => ({
          frame: k,
          points: [
            [0.2 * s.width + k, 0.3 * s.height],
            [0.6 * s.width - k, 0.1 * s.height],
            [0.5 * s.width, 1.1 * s.height],
          ],
        })),
      },
    ],
    elements: s.elements.map((e, i) => ({
      id: `e${i}`,
      file: `e${i}.mov`,
      alpha: e.alpha === 'none' || e.alpha === 'on-black' || e.layout.alpha ? e.alpha : 'none',
      nature: e.nature,
      position: { x: e.x * s.width, y: e.y * s.height },
      scale: e.scale,
      distanceM: 10 - i,
      keys: [0, 5].map((frame) => ({
        ...{ frame, dx: e.goes * (frame - s.number), dy: 0.4 * e.goes * (frame - s.number) },
        scale: e.goes % 2 === 0 ? 1 : 1 + 0.2 * frame,
      })),
      ...(s.nested && i > 0 ? { inside: 'e0' } : {}),
      ...(e.way === undefined ? {} : { follow: { track: e.way.replace(' ', '-') } }),
      ...(e.lights ? { lights: [light] } : {}),
      ...(e.behind.length > 0 ? { holdout: Object.fromEntries(e.behind.map((k) => [k, HOLDOUTS[k]])) } : {}),
      treatments: {
        'light.elementBlack': set([0.01, 0.01, 0.02]),
        'light.elementMiddle': set([0.2, 0.2, 0.2]),
        'light.elementWhite': set([0.6, 0.6, 0.6]),
        'light.plateBlack': set([0.03, 0.03, 0.04]),
        'light.plateMiddle': set([0.2, 0.22, 0.25]),
        'light.plateWhite': set([0.5, 0.5, 0.52]),
        'light.exposure': set([0.5]),
        'air.transmittance': set([0.9, 0.89, 0.87]),
        'air.airlight': set([0.5, 0.55, 0.6]),
        'lens.blurRadius': set([e.blur]),
        ...(i === 1 && e.blur > 0 ? { 'lens.blurGradient': set([0, 0, -3, s.width, s.height, 4]) } : {}),
        ...(i === 0 && e.blur === 4 ? { 'lens.depthBlur': set([3]), 'lens.depthFocus': set([1.5]) } : {}),
        'sensor.elementVariance': set([1e-5, 1e-5, 1e-5]),
        'source.floor': set([0.1, 0.1, 0.1]),
        'source.floorNoise': set([0.15, 0.15, 0.15]),
        'source.ceiling': set([0.9]),
        'light.elementTemperature': set([1900]),
        ...(e.lights ? { 'light.cast': set([1]), 'light.surfaces': set([0.2, 0.2, 0.2]) } : {}),
      },
    })),
  }
  const plan: Plan = {
    shot: parseShot(document, 'test'),
    plate,
    elements: Object.fromEntries(s.elements.map((e, i) => [`e${i}`, pictureOf(e.width, e.height, e.layout)])),
    tracks: Object.fromEntries(
      WAYS.map((way) => [way.replace(' ', '-'), { track: trackOf(way, s.width, s.height) }]),
    ),
    delivery: {
      layout: deliveryLayout(s.format as DeliveryFormat, s.layout),
      encoding: deliveryEncoding(s.format as DeliveryFormat, plate.encoding),
      limited: true,
    },
    variant: 'result',
    grain: true,
  }
  const input: FrameInput = {
    number: s.number,
    plate: painted(s.layout, s.width, s.height, 1, s.wild),
    elements: s.elements.map((e, i) => ({
      id: `e${i}`,
      frame: painted(e.layout, e.width, e.height, 2 + i, s.wild),
      ...(e.holdout ? { holdout: painted(rgb(8), s.width, s.height, 7, false) } : {}),
    })),
    depth: painted(rgb(32, true), Math.ceil(s.width / 2), s.height, 8, s.wild),
  }
  return { maker: new FrameMaker(plan), input }
}
