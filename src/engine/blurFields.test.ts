import { describe, expect, it } from 'vitest'
import { allocateFrame, type NativeFrame, type PixelLayout, uniform } from '../core/index.js'
import { parseShot } from '../shot/index.js'
import { type FrameInput, FrameMaker } from './frame.js'
import type { Plan } from './plan.js'

const WIDTH = 160
const HEIGHT = 96
const LAYOUT: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false }
const encoding = {
  range: 'full',
  matrix: 'rgb',
  curve: 'linear',
  primaries: 'bt709',
  siting: 'left',
} as const

/** The same light in all three channels. */
function picture(of: (x: number, y: number) => number): NativeFrame {
  const frame = allocateFrame(LAYOUT, WIDTH, HEIGHT)
  for (const { data } of frame.planes)
    for (let i = 0; i < data.length; i++) data[i] = of(i % WIDTH, Math.floor(i / WIDTH))
  return frame
}

function made(
  light: (x: number, y: number) => number,
  over: Record<string, unknown>,
  metres = (_x: number) => 1,
) {
  const { treatments = {}, element, ...blur } = over
  const document = {
    platefit: 1,
    plate: { file: 'plate.exr', ...(element === undefined ? { blur } : {}), treatments },
    site: { depth: { file: 'depth.exr' } },
    elements: element === undefined ? [] : [element],
    shapes: [
      {
        id: 'left',
        kind: 'polygon',
        featherPx: 0,
        keys: [
          {
            frame: 0,
            points: [
              [0, 0],
              [80, 0],
              [80, HEIGHT],
              [0, HEIGHT],
            ],
          },
        ],
      },
    ],
  }
  const file = {
    width: WIDTH,
    height: HEIGHT,
    layout: LAYOUT,
    encoding,
    rate: { num: 24, den: 1 },
    frameCount: 1,
  }
  const delivery = { layout: LAYOUT, encoding, limited: false }
  const shot = parseShot(document, 'test')
  const elements = element === undefined ? {} : { card: file }
  const plan: Plan = { shot, plate: file, elements, tracks: {}, delivery, variant: 'result', grain: true }
  const input: FrameInput = { number: 0, plate: picture(light), depth: picture(metres), elements: [CARD] }
  const { frame, touched } = new FrameMaker(plan).make(input)
  const { data } = frame.planes[1] as NativeFrame['planes'][0]
  return { at: (x: number, y = 48) => data[y * WIDTH + x] as number, touched, plate: light }
}

/** Half of the picture bright, over all of the plate. */
const CARD = { id: 'card', frame: picture((x) => (x < 40 || x >= 120 ? 0.1 : 0.8)) }

/** Share of a disc of radius 1 beyond a chord `d` from its middle, by plane geometry. */
const beyond = (d: number) => {
  const c = Math.min(Math.max(d, -1), 1)
  return (Math.acos(c) - c * Math.sqrt(1 - c * c)) / Math.PI
}

describe('a blur of the plate', () => {
  it('by a gradient spreads an edge as a disc of that radius does, in its shape and nowhere else', () => {
    const { at, touched, plate } = made((x) => (x < 40 ? 0.2 : 0.6), {
      shapes: ['left'],
      gradient: [0, 0, 6, 100, 0, 6],
    })
    for (const x of [33, 36, 39, 40, 43, 46])
      expect(Math.abs(at(x) - (0.2 + 0.4 * beyond((40 - x - 0.5) / 6)))).toBeLessThan(0.01)
    // Far blur does not come over what is sharp beside it.
    for (let x = 80; x < WIDTH; x++) expect(at(x)).toBe(Math.fround(plate(x, 48)))
    expect(touched.x + touched.width).toBeLessThanOrEqual(80)
  })

  it('by depth leaves what is in focus to the bit, and lets nothing behind run over it', () => {
    // R = 6 px for what is endlessly far, in focus at 2 m: 6 (1 − 2/8) = 4.5 px at 8 m.
    const light = (x: number) => (x < 80 ? 0.2 : x < 120 ? 0.9 : 0.3)
    const { at } = made(light, { depth: { endlessPx: 6, focusM: 2 } }, (x) => (x < 80 ? 2 : 8))
    for (let x = 0; x < 80; x++) expect(at(x)).toBe(Math.fround(0.2))
    for (let x = 80; x < 110; x++) expect(at(x)).toBeCloseTo(0.9, 3)
    for (const x of [117, 119, 120, 122])
      expect(Math.abs(at(x) - (0.3 + 0.6 * beyond((x + 0.5 - 120) / 4.5)))).toBeLessThan(0.015)
  })

  it('by depth lays near blur over sharp things behind', () => {
    // 4 (1 − 2/1) = −4 px at 1 m.
    const { at } = made(
      (x) => (x < 80 ? 0.1 : 0.7),
      { depth: { endlessPx: 4, focusM: 2 } },
      (x) => (x < 80 ? 1 : 2),
    )
    for (const x of [77, 79, 80, 82])
      expect(Math.abs(at(x) - (0.1 + 0.6 * beyond((80 - x - 0.5) / 4)))).toBeLessThan(0.03)
    expect(at(90)).toBe(Math.fround(0.7))
  })

  it('of an element follows the map of what it lies on', () => {
    const set = (value: number) => ({ value: [value], evidence: { kind: 'set' } })
    const element = {
      ...{ id: 'card', file: 'card.exr', alpha: 'none', nature: 'reflects', scale: 1 },
      position: { x: WIDTH / 2, y: HEIGHT / 2 },
      treatments: { 'lens.depthBlur': set(6), 'lens.depthFocus': set(2) },
    }
    // In focus at 2 m on the left; 6 (1 − 2/8) = 4.5 px at 8 m on the right.
    const { at } = made(
      () => 0.3,
      { element },
      (x) => (x < 80 ? 2 : 8),
    )
    for (const x of [38, 39]) expect(at(x)).toBeCloseTo(0.1, 5)
    for (const x of [40, 41]) expect(at(x)).toBeCloseTo(0.8, 5)
    for (const x of [117, 119, 120, 122])
      expect(Math.abs(at(x) - (0.1 + 0.7 * beyond((x + 0.5 - 120) / 4.5)))).toBeLessThan(0.015)
  })

  it('has the grain of the plate again: flat parts vary as much as the level asks', () => {
    const noise = (x: number, y: number) => uniform(5, 0, x, y, 0) - 0.5
    // A uniform distribution of width w has a variance of w²/12.
    const variance = 4e-4
    const treatments = Object.fromEntries(
      Object.entries({
        'sensor.grainLevels': [0.1, 0.6],
        'sensor.grainVariance': Array(6).fill(variance),
        'sensor.grainCorrelation': Array(12).fill(0),
        'sensor.grainMix': [0, 0, 0],
      }).map(([name, value]) => [name, { value, evidence: { kind: 'set' } }]),
    )
    for (const radius of [0.6, 1.5, 5]) {
      const { at } = made((x, y) => 0.3 + Math.sqrt(12 * variance) * noise(x, y), {
        treatments,
        gradient: [0, 0, radius, 1, 0, radius],
      })
      let [sum, squares, n] = [0, 0, 0]
      for (let y = 12; y < 84; y++)
        for (let x = 12; x < 148; x++, n++) {
          sum += at(x, y)
          squares += at(x, y) ** 2
        }
      const found = squares / n - (sum / n) ** 2
      expect(Math.abs(Math.sqrt(found / variance) - 1)).toBeLessThan(0.03)
    }
  })
})
