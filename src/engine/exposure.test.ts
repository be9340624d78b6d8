import { describe, expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type PixelLayout } from '../core/index.js'
import { parseShot } from '../shot/index.js'
import { FrameMaker } from './frame.js'
import type { Plan } from './plan.js'

const layout: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false }
const encoding: ColourEncoding = {
  ...({ range: 'full', matrix: 'rgb', curve: 'linear', primaries: 'bt709', siting: 'left' } as const),
}
const [W, H] = [400, 200]
const rate = { num: 24, den: 1 }

type Frames = readonly { readonly frame: number; readonly matrix: readonly number[] }[]

/** A white card, 120 × 160 px, that goes to the right before black; the frame on which it stands in the middle. */
function card(camera: object, pxAFrame: number, links: object = {}, more: object = {}, frames: Frames = []) {
  const size = { width: 120, height: 160, layout, encoding, rate, frameCount: 1 }
  const shot = parseShot(
    {
      platefit: 1,
      plate: { file: 'plate.exr' },
      camera,
      elements: [
        {
          ...{ id: 'card', file: 'card.exr', alpha: 'none', nature: 'reflects', links },
          ...{ position: { x: W / 2, y: H / 2 }, scale: 1, time: { hold: 'both' } },
          keys: [0, 10].map((frame) => ({ frame, dx: pxAFrame * (frame - 5) })),
          ...more,
        },
      ],
      tracks: [{ id: 'pan', reference: 2 }],
    },
    'card.shot.json',
  )
  const plan: Plan = {
    ...{
      shot,
      plate: { ...size, width: W, height: H, frameCount: 20 },
      elements: { card: size },
      tracks: { pan: { track: { motion: 'affine', frames } } } as unknown as Plan['tracks'],
    },
    ...{ delivery: { layout, encoding, limited: false }, variant: 'result', grain: false },
  }
  const frame = allocateFrame(layout, 120, 160)
  for (const p of frame.planes) p.data.fill(1)
  const input = { number: 5, plate: allocateFrame(layout, W, H), elements: [{ id: 'card', frame }] }
  const { planes } = new FrameMaker(plan).make(input).frame
  return (y: number) => Array.from(planes[1]!.data.subarray(y * W, (y + 1) * W))
}

/** Where an edge that rises to the right crosses a level. */
function crossing(row: readonly number[], level: number): number {
  const i = row.findIndex((v) => v >= level)
  const [a, b] = [row[i - 1]!, row[i]!]
  return i - 0.5 + (level - a) / (b - a)
}

describe('a moving element', () => {
  // 40 px a frame at 180°: a streak of 20 px (L = v·t), an edge that rises straight from 130 to 150 about 140.
  it('is streaked over the time that the shutter is open, about where it stands on the frame', () => {
    const row = card({ shutterAngleDeg: 180 }, 40)(100)
    expect(crossing(row, 0.5)).toBeCloseTo(140, 1)
    expect(crossing(row, 0.9) - crossing(row, 0.1)).toBeCloseTo(0.8 * 20, 1)
    // 180° is assumed where nothing is said; 90° is half of it; switched off there is none.
    expect(card({}, 40)(100)).toEqual(row)
    const short = card({ shutterAngleDeg: 90 }, 40)(100)
    expect(crossing(short, 0.9) - crossing(short, 0.1)).toBeCloseTo(8, 1)
    const off = card({}, 40, { shutter: { off: true } })(100)
    expect(crossing(off, 0.9) - crossing(off, 0.1)).toBeLessThan(1)
  })

  // Skew = v·tᵣ·Δrow/H: 1000 px/s (41.667 px a frame) and 15.5 ms make 15.5 px over the full height, 11.625 over 150 of 200 rows.
  it('is skewed by a rolling readout, each row at its own time, its middle where it stands', () => {
    const rows = card({ shutterAngleDeg: 90, readoutMs: 15.5 }, 1000 / 24)
    const at = (y: number) => crossing(rows(y), 0.5)
    // A hard edge between pixels is off by up to a tenth of one.
    expect(Math.abs(at(174) - at(24) - (15.5 * 150) / 200)).toBeLessThan(0.1)
    expect(Math.abs((at(99) + at(100)) / 2 - 140)).toBeLessThan(0.1)
    // Going right, the lower a row the later it is read, and the further right.
    expect(at(174)).toBeGreaterThan(at(24))
  })

  // What a camera that pans evenly sees of a wall goes as it is from frame to frame, and leans on each of them.
  const pan = (px: number): Frames =>
    Array.from({ length: 12 }, (_, frame) => {
      // On one frame far from here the plate shook: all that follows it holds shear.
      return { frame, matrix: [1, frame === 11 ? 0.02 : 0, px * (frame - 2), 0, 1, 0, 0, 0, 1] }
    })

  it.each([
    ['leans with a track that shears, as the plate leans on its reference frame', 'all'],
    ['leans by the rows of a track that shears, where it takes its place alone', 'place'],
  ])('%s', (_, take) => {
    const follow = { follow: { track: 'pan', take }, keys: [], position: { x: W / 2 - 125, y: H / 2 } }
    // 1000 px/s again, in frame 5 as far to the right as on frame 2 to the left.
    const rows = card({ shutterAngleDeg: 90, readoutMs: 15.5 }, 0, {}, follow, pan(1000 / 24))
    const at = (y: number) => crossing(rows(y), 0.5)
    expect(Math.abs(at(174) - at(24) - (15.5 * 150) / 200)).toBeLessThan(0.1)
    expect(Math.abs((at(99) + at(100)) / 2 - 140)).toBeLessThan(0.1)
  })

  it('leans by its own way too where what carries it shears', () => {
    const follow = { follow: { track: 'pan' } }
    const rows = card({ shutterAngleDeg: 90, readoutMs: 15.5 }, 1000 / 24, {}, follow, pan(0))
    const at = (y: number) => crossing(rows(y), 0.5)
    expect(Math.abs(at(174) - at(24) - (15.5 * 150) / 200)).toBeLessThan(0.1)
  })
})
