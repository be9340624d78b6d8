import { beforeAll, describe, expect, it } from 'vitest'
import { photograph } from '../../test/roundtrips/photographs.js'
import {
  allocateFrame,
  type ColourEncoding,
  type FloatImage,
  type NativeFrame,
  type PixelLayout,
} from '../core/index.js'
import { parseShot } from '../shot/index.js'
import { FrameMaker } from './frame.js'
import { OwnMotions } from './ownMotion.js'
import type { Plan } from './plan.js'

const layout: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: true }
const encoding: ColourEncoding = {
  ...({ range: 'full', matrix: 'rgb', curve: 'linear', primaries: 'bt709', siting: 'left' } as const),
}
const [W, H] = [224, 160]
const rate = { num: 24, den: 1 }
const SIDE = 80
/** px and radians a frame of the middle of what moves. */
const [VX, VY, TURN] = [20, 7, 0.12]

let texture: FloatImage
beforeAll(async () => {
  texture = (await photograph('allium-oreophilum', 3)).image
})

/** A cut-out with a soft border that goes and turns, by brute force: the mean of many moments about the frame's middle. */
function sprite(
  frame: number,
  angleDeg: number,
  shines: boolean,
  [right, down]: readonly [number, number] = [0, 0],
): NativeFrame {
  const moments = Math.max(Math.ceil(angleDeg / 9), 1)
  const out = allocateFrame(layout, W, H)
  const planes = out.planes.map((p) => p.data)
  for (let k = 0; k < moments; k++) {
    const t = frame - 1 + (angleDeg / 360) * ((k + 0.5) / moments - 0.5)
    const [mx, my, turn] = [W / 2 + (VX + right) * t, H / 2 + (VY + down) * t, TURN * t]
    const [cos, sin] = [Math.cos(turn), Math.sin(turn)]
    for (let y = 0; y < H; y++) {
      for (let x = 0; x < W; x++) {
        const [dx, dy] = [x + 0.5 - mx, y + 0.5 - my]
        const [u, v] = [cos * dx + sin * dy, cos * dy - sin * dx]
        const far = Math.max(Math.abs(u), Math.abs(v)) - SIDE / 2
        const cover = Math.min(Math.max(0.5 - far / 3, 0), 1)
        if (cover === 0) continue
        const p = y * W + x
        for (let c = 0; c < 3; c++) planes[c]![p]! += (cover * textured(u, v, c)) / moments
        planes[3]![p]! += shines ? 0 : cover / moments
      }
    }
  }
  return out
}

function textured(u: number, v: number, c: number): number {
  const { width } = texture.region
  const [x, y] = [u + 100, v + 120]
  const [i, j] = [Math.floor(x), Math.floor(y)]
  const [a, b] = [x - i, y - j]
  const at = (k: number, l: number) => texture.data[4 * (l * width + k) + c]!
  return (
    (1 - b) * ((1 - a) * at(i, j) + a * at(i + 1, j)) + b * ((1 - a) * at(i, j + 1) + a * at(i + 1, j + 1))
  )
}

/** A time between the second picture of the sprite and the third, and how the two are made one. */
interface Between {
  readonly share: number
  readonly along: boolean
}

interface How {
  readonly shines?: boolean
  readonly into?: Between
  readonly first?: number
  /** By keys, px a frame. */
  readonly carried?: readonly [number, number]
  /** Beside its own way, px a frame. */
  readonly filmed?: readonly [number, number]
}

/** The second of four pictures of the sprite, drawn before black with a topped-up blur, or a picture between it and the third. */
async function drawn(
  angleDeg: number,
  topUp: number,
  { shines = false, into, first = 0, carried: [right, down] = [0, 0], filmed = [0, 0] }: How = {},
): Promise<Float64Array[]> {
  const frames = [0, 1, 2, 3].map((f) => sprite(first + f, angleDeg, shines, filmed))
  const size = { width: W, height: H, layout, encoding, rate, frameCount: 3 }
  const shot = parseShot(
    {
      ...{ platefit: 1, plate: { file: 'plate.exr' } },
      elements: [
        {
          ...{ id: 'sprite', file: 'sprite.exr', alpha: shines ? 'on-black' : 'premultiplied', scale: 1 },
          ...{ nature: shines ? 'emits' : 'reflects', position: { x: W / 2, y: H / 2 } },
          keys: [0, 2].map((k) => ({ frame: k, dx: right * (k - 1), dy: down * (k - 1) })),
          treatments: { 'shutter.topUp': { value: [topUp], evidence: { kind: 'set' } } },
        },
      ],
    },
    'sprite.shot.json',
  )
  const plan: Plan = {
    ...{ shot, plate: size, elements: { sprite: size }, tracks: {} },
    ...{
      delivery: { layout: { ...layout, alpha: false }, encoding, limited: false },
      variant: 'result',
      grain: false,
    },
  }
  const plate = allocateFrame({ ...layout, alpha: false }, W, H)
  const kind = shines ? 'on-black' : 'premultiplied'
  const motions = new OwnMotions(async (k) => frames[k], kind)
  const next = into && { ...into, frame: frames[2]!, goes: await motions.at(2) }
  const one = { id: 'sprite', frame: frames[1]!, goes: await motions.at(1), ...(next && { into: next }) }
  const maker = new FrameMaker(plan)
  const input = { number: 1, plate, elements: [one] }
  const made = maker.make(input).frame.planes.map((p) => Float64Array.from(p.data))
  // A part of the frame has the bytes of that part of the whole.
  const { frame } = maker.make(input, false, PART)
  expect(Float64Array.from(frame.planes[1]!.data)).toEqual(cropped(made[1]!, PART))
  return made
}

const PART = { x: 70, y: 40, width: 90, height: 60 }

function cropped(data: Float64Array, { x, y, width, height }: typeof PART): Float64Array {
  return Float64Array.from({ length: width * height }, (_, p) => {
    return data[(y + Math.floor(p / width)) * W + x + (p % width)]!
  })
}

const off = (a: Float64Array, b: Float64Array) =>
  Math.sqrt(a.reduce((sum, v, i) => sum + (v - b[i]!) ** 2, 0) / a.length)
const sum = (a: Float64Array) => a.reduce((s, v) => s + v)

describe("an element's own motion", () => {
  // 45° to 180°: √(180² − 45²), for the squares of two boxes add.
  it('that was filmed at 45° and is blurred on to 180° is that which was filmed at 180°', async () => {
    const truth = (await drawn(180, 0))[1]!
    const as = (await drawn(45, 0))[1]!
    const on = (await drawn(45, Math.sqrt(180 ** 2 - 45 ** 2)))[1]!
    expect(off(on, truth)).toBeLessThan(off(as, truth) / 4)
  })

  it('puts a picture between two where it is then, once, and keeps its light', async () => {
    const truth = (await drawn(45, 0, { first: 0.4 }))[1]!
    const mixed = (await drawn(45, 0, { into: { share: 0.4, along: false } }))[1]!
    const made = (await drawn(45, 0, { into: { share: 0.4, along: true } }))[1]!
    expect(off(made, truth)).toBeLessThan(off(mixed, truth) / 4)
    expect(sum(made) / sum(truth)).toBeCloseTo(1, 2)
  })

  it('of what shines loses no light', async () => {
    const as = (await drawn(45, 0, { shines: true }))[1]!
    const on = (await drawn(45, Math.sqrt(180 ** 2 - 45 ** 2), { shines: true }))[1]!
    expect(sum(on) / sum(as)).toBeCloseTo(1, 2)
  })

  // What goes by itself as fast as it is carried the other way stands still, as a walker does whom the camera follows.
  it.each([
    ['the other way', [-VX, -VY]],
    ['the same way', [VX, VY]],
    ['across', [-VY, VX]],
  ] as const)('is one streak with that of what carries it: %s', async (_, carried) => {
    const truth = (await drawn(180, 0, { filmed: carried }))[1]!
    const as = (await drawn(45, 0, { carried }))[1]!
    const on = (await drawn(45, Math.sqrt(180 ** 2 - 45 ** 2), { carried }))[1]!
    expect(off(on, truth)).toBeLessThan(off(as, truth) / 3)
  })
})
