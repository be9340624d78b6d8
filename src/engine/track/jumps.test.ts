/** Jumps of known size put into painted moves: found on their frame from either side of time, and none where there is none. */
import { describe, expect, it } from 'vitest'
import { move } from '../../../test/tracking/moves.js'
import { type Motion, plateOf, type Shot } from '../../../test/tracking/plate.js'
import { cobbles, plaster } from '../../../test/tracking/texture.js'
import type { NativeFrame } from '../../core/index.js'
import { openVision } from '../../vision/index.js'
import { pictureJumps } from './jumps.js'
import { lumaOf } from './luma.js'
import { Scene } from './scene.js'

const [WIDTH, HEIGHT, FRAMES, AT] = [320, 180, 20, 10]
const size = { width: WIDTH, height: HEIGHT }
const handHeld = move(WIDTH, HEIGHT, FRAMES, { pan: [0.8, -0.3], unrest: 1.5 })
const PLASTER = plaster(1000, 700)

/** Shifted and enlarged about the middle from frame AT on. */
function jumping(dx: number, growth = 1) {
  return (f: number): Motion => {
    const m = handHeld(f)
    if (f < AT) return m
    const rows = [0, 1].map((r) => [0, 1, 2].map((c) => growth * (m[3 * r + c] as number)))
    const [x, y] = [(1 - growth) * (WIDTH / 2) + dx, (1 - growth) * (HEIGHT / 2)]
    const [a, b] = rows as [number[], number[]]
    return [a[0]!, a[1]!, a[2]! + x, b[0]!, b[1]!, b[2]! + y, 0, 0, 1]
  }
}

type Told = readonly string[]

async function told(
  shot: Partial<Shot>,
  change: (f: NativeFrame, n: number) => void = () => {},
): Promise<readonly [forward: Told, backward: Told]> {
  const plate = plateOf({ ...size, frames: FRAMES, surface: PLASTER, motion: handHeld, noise: 1.5, ...shot })
  const frames: NativeFrame[] = []
  for await (const f of plate.frames()) {
    change(f, frames.length)
    frames.push(f)
  }
  const vision = await openVision()
  const pass = (order: readonly number[]) => {
    const scene = new Scene(vision)
    const passages = order.flatMap((n, i) => {
      const luma = lumaOf(frames[n] as NativeFrame)
      if (i > 0) return [scene.step(luma, n, []).passage]
      scene.begin(luma, n)
      return []
    })
    return pictureJumps(passages, size).map((j) => `${j.kind} ${j.frame}`)
  }
  const order = frames.map((_, n) => n)
  return [pass(order), pass(order.toReversed())]
}

const both = (...jumps: string[]) => [jumps, jumps]

describe('jumps of the picture are found', () => {
  // 1 % of the picture's width along an axis is the least that counts: √2 times that sideways.
  it.each([0.016, 0.1, 0.4])('shifted by %f of its width', async (share) => {
    expect(await told({ motion: jumping(share * WIDTH) })).toEqual(both(`far ${AT}`))
  })

  it.each([1.04, 0.96, 0.7])('enlarged %f times', async (growth) => {
    expect(await told({ motion: jumping(0, growth) })).toEqual(both(`far ${AT}`))
  })

  it('at a cut', async () => {
    const there = cobbles(1000, 700)
    const other = plateOf({ ...size, frames: FRAMES, surface: there, motion: handHeld, noise: 1.5 })
    const later: NativeFrame[] = []
    for await (const f of other.frames()) later.push(f)
    const swapped = (f: NativeFrame, n: number) => {
      if (n >= AT) f.planes[0]!.data.set(later[n]!.planes[0]!.data as Uint8Array)
    }
    expect(await told({}, swapped)).toEqual(both(`gone ${AT}`))
  })

  it('where another lens goes on at the same place, less sharp', async () => {
    expect(await told({}, (f, n) => n >= AT && soften(f))).toEqual(both(`other ${AT}`))
  })
})

describe('no jump of the picture is', () => {
  const zoom = (f: number) => {
    const t = Math.min(Math.max((f - 6) / 8, 0), 1)
    return 1 + 0.8 * t * t * (3 - 2 * t)
  }
  const zoomed = (f: number): Motion => {
    const s = zoom(f)
    return [s, 0, (1 - s) * (WIDTH / 2), 0, s, (1 - s) * (HEIGHT / 2), 0, 0, 1]
  }
  const whipped = (f: number): Motion => [1, 0, f < 8 ? 0 : -10 * (f - 8), 0, 1, 0, 0, 0, 1]
  const knocked = (f: number): Motion => [1, 0, 2 * Math.sin(1.9 * f), 0, 1, 3 * Math.sin(2.6 * f), 0, 0, 1]

  it.each([
    ['a hand-held camera', {}],
    ['a fast zoom', { motion: zoomed }],
    ['a pan that sets off at once, blurred', { motion: whipped, shutter: 0.5 }],
    ['a picture too dark to follow', { stops: () => -7, noise: 2 }],
    ['a shaking camera', { motion: knocked, shutter: 0.5 }],
    ['a flash', { stops: (f: number) => (f === AT ? 1 : 0) }],
    ['a light that comes on', { stops: (f: number) => (f < AT ? -0.5 : 0) }],
    ['something that passes close by', { before: (f: number) => ({ x: 40 * (f - 4) - 200, width: 200 }) }],
    [
      'something that hides all for a while',
      { before: (f: number) => (f >= 8 && f < 12 ? { x: -10, width: 600 } : undefined) },
    ],
  ] as const)('%s', async (_, shot) => {
    expect(await told(shot as Partial<Shot>)).toEqual(both())
  })
})

/** Means of 3 × 3 of the lightness. */
function soften({ planes, width, height }: NativeFrame): void {
  const data = (planes[0] as NativeFrame['planes'][number]).data
  const from = Float32Array.from(data)
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      let sum = 0
      for (let k = -1; k <= 1; k++)
        for (let l = -1; l <= 1; l++) sum += from[(y + k) * width + x + l] as number
      data[y * width + x] = Math.round(sum / 9)
    }
  }
}
