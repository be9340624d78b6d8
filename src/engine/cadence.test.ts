import { expect, it } from 'vitest'
import { allocateFrame, type ColourEncoding, type PixelLayout } from '../core/index.js'
import { parseShot } from '../shot/index.js'
import { flashFindings } from './cadence.js'
import { FrameMaker } from './frame.js'
import type { Plan } from './plan.js'

const layout: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false }
const encoding: ColourEncoding = {
  ...({ range: 'full', matrix: 'rgb', curve: 'linear', primaries: 'bt709', siting: 'left' } as const),
}
const [W, H] = [16, 1080]

/** A light that fills the left half before a grey plate, whose right half is a wall that answers it. */
function flashed(camera: object, flash: object, links = {}) {
  const size = { width: W, height: H, layout, encoding, rate: { num: 24, den: 1 }, frameCount: 9 }
  const polygon = [
    [9, 0],
    [16, 0],
    [16, H],
    [9, H],
  ]
  const shot = parseShot(
    {
      ...{
        platefit: 1,
        plate: { file: 'plate.exr' },
        camera: { readoutMs: 15, sensorWidthMm: 36, focalLengthMm: 36, ...camera },
      },
      elements: [
        {
          ...{ id: 'muzzle', file: 'muzzle.exr', alpha: 'on-black', nature: 'emits', flash, links },
          ...{ position: { x: 4, y: H / 2 }, distanceM: 5, scale: 1 },
          lights: [{ polygon, awayM: 1, featherPx: 0 }],
          treatments: Object.fromEntries(
            [
              ['light.cast', [1]],
              ['light.surfaces', [0.2, 0.2, 0.2]],
            ].map(([name, value]) => [name, { value, evidence: { kind: 'set' } }]),
          ),
        },
      ],
    },
    'flash.shot.json',
  )
  const plan: Plan = {
    ...{ shot, plate: size, elements: { muzzle: { ...size, width: 8 } }, tracks: {} },
    ...{ delivery: { layout, encoding, limited: false }, variant: 'result', grain: false },
  }
  const frame = allocateFrame(layout, 8, H)
  for (const p of frame.planes) p.data.fill(1)
  const rows = (number: number) => {
    const plate = allocateFrame(layout, W, H)
    for (const p of plate.planes) p.data.fill(0.2)
    const { planes } = new FrameMaker(plan).make({ number, plate, elements: [{ id: 'muzzle', frame }] }).frame
    const at = (x: number) =>
      Array.from({ length: H }, (_, y) => (planes[1]!.data[y * W + x] as number) - 0.2)
    return { own: at(3), wall: at(13) }
  }
  return { rows, shot, plate: size }
}

// Of 1080 rows read in 15 ms: the worked rows of a flash at 10 ms for 1 ms under 4 ms, 433 to 791 lit, 504 to 720 in full.
const FOUR_MS = { shutterAngleDeg: (4 / 1000) * 24 * 360 }

it('a pulse lights those rows alone that are open then, and so does what it casts', () => {
  const light = { atMs: 10, lengthMs: 1 }
  const seen = flashed(FOUR_MS, light).rows(0)
  const whole = flashed(FOUR_MS, light, { shutter: { off: true } }).rows(0)
  for (const what of ['own', 'wall'] as const) {
    const lit = seen[what].map((v, y) => v / whole[what][y]!)
    const is = (share: number) => lit.flatMap((v, y) => (v > share ? [y] : []))
    expect([is(1e-3)[0], is(1e-3).at(-1)]).toEqual([433, 791])
    expect([is(0.999)[0], is(0.999).at(-1)]).toEqual([504, 720])
  }
  expect(whole.own[600]).toBeCloseTo(1, 5)
  expect(whole.wall[600]).toBeGreaterThan(1e-3)
})

// Open all the time, a row opens again when it closes: at 45 ms of 41.67 those above 3.33 ms, row 240, are in frame 1.
it('what one frame cuts off is in the next', () => {
  const { rows, shot, plate } = flashed({ shutterAngleDeg: 360 }, { atMs: 45, lengthMs: 2 })
  const [first, next] = [rows(0).own, rows(1).own]
  for (const y of [0, 100, 240, 300, 500, 1079]) expect(first[y]! + next[y]!).toBeCloseTo(1, 5)
  expect(next[0]).toBeCloseTo(1, 5)
  expect(first[1079]).toBeCloseTo(1, 5)
  expect(flashFindings(shot, plate)[0]?.detail.received).toMatch(
    /^frame 0 rows .* to 1079, frame 1 rows 0 to /,
  )
})

it('needs the time in which the rows are read, and no course of its own', () => {
  expect(() => flashed({ readoutMs: undefined }, { atMs: 1, lengthMs: 1 })).toThrow('camera.readoutMs')
})
