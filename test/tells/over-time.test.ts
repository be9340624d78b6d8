/**
 * The tells that show over a whole shot, on finished files: each fires on the fault that was put in, with its frame, place and
 * figure from how the pictures were made; what is right stays quiet. Things that do not touch share a picture: it is rendered and
 * read once.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { CheckResult, Tell } from '../../src/engine/index.js'
import { at } from '../tracking/plate.js'
import { uniforms } from './chance.js'
import { writePng } from './files.js'
import { crate, type Filmed, FOOT, film, flame, HAND, keys, SIZE, shotOf, track } from './moving.js'
import { check, checkFile, render } from './shots.js'

const root = mkdtempSync(join(tmpdir(), 'platefit-over-time-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

/** Stands still, and is only looked at for what stands in it. */
let still: Filmed
beforeAll(async () => {
  still = await film(root, {}, { frames: 8 })
})

const OURS = ['slide', 'stepping', 'over-nearer', 'repeated']
const of = (r: CheckResult, id?: string): Tell[] =>
  r.tells.filter((t) => OURS.includes(t.tell) && (id === undefined || t.element === id))
const ours = (r: CheckResult, id?: string): string[] => of(r, id).map((t) => `${t.tell}: ${t.sentence}`)
const why = (r: CheckResult, tell: string, id: string) =>
  r.undecided.find((u) => u.tell === tell && u.element === id)?.why

function only(r: CheckResult, tell: string, id?: string): Tell {
  expect(ours(r, id).filter((s) => !s.startsWith(`${tell}:`))).toEqual([])
  const found = of(r, id)[0]
  if (found === undefined) throw new Error(`${tell} is quiet; cannot tell: ${JSON.stringify(r.undecided)}`)
  expect(found.region.width * found.region.height).toBeGreaterThan(0)
  return found
}

/** Where the foot of a crate is that stands at x, y. */
const footAt = (x: number, y: number) => [x - 35 + FOOT[0], y - 30 + FOOT[1]] as const

describe('on a plate filmed from the hand', () => {
  let hand: Filmed
  let r: CheckResult
  const stood = footAt(60, 130)

  beforeAll(async () => {
    hand = await film(root, HAND)
    const { motion } = hand
    const drifting = (n: number) => {
      const m = [...motion(n)]
      const by = (3 * n) / (SIZE.frames - 1)
      return m.map((v, i) => (i < 3 ? v + by * (m[6 + i] as number) : v))
    }
    const tracks = [await track(hand, 'ground', motion), await track(hand, 'drifting', drifting)]
    const follows = { follow: { track: 'ground' } }
    const one = (id: string, x: number, y: number) => ({ ...crate(hand), id, position: { x, y } })
    const keyed = (id: string, x: number, y: number, bent?: Parameters<typeof keys>[3]) => ({
      ...one(id, x, y),
      keys: keys(motion, ...footAt(x, y), bent),
    })
    const shaken = (amount: number) => {
      const next = uniforms(11)
      return (v: number) => v + amount * (2 * next() - 1)
    }
    const all = keys(motion, ...footAt(360, 130))
    const thirds = all.map((k) => ({ ...all[3 * Math.floor(k.frame / 3)], frame: k.frame }))
    const elements = [
      { ...one('rises', 60, 45), drift: { upMs: 1 }, distanceM: 5 },
      one('stands', 60, 130),
      { ...one('follows', 160, 130), ...follows },
      { ...one('drifts', 260, 130), follow: { track: 'drifting' } },
      // Its steps are the fault, not how its light is spread over them.
      { ...one('thirds', 360, 130), keys: thirds, links: { shutter: { off: true } } },
      { ...one('smoke', 60, 215), nature: 'absorbs', foot: undefined, ...follows },
      keyed('trembles', 160, 215, shaken(0.8)),
      keyed('unrest', 260, 215, shaken(0.1)),
      keyed('rounded', 360, 215, Math.round),
    ]
    const camera = { sensorWidthMm: 36, focalLengthMm: 35 }
    r = await check(hand, shotOf(elements, { tracks, camera }))
  })

  it('says nothing of what follows the ground', () => {
    expect(ours(r, 'follows')).toEqual([])
    expect(why(r, 'slide', 'follows')).toBeUndefined()
  })

  it('speaks of an element that stays in the frame while the plate moves', () => {
    const t = only(r, 'slide', 'stands')
    const ways = Array.from({ length: SIZE.frames }, (_, n) => {
      const [u, v] = at(hand.motion(n), ...stood)
      return Math.hypot(u - stood[0], v - stood[1])
    })
    // It slides over other ground than it stood on, which the zoom carries otherwise: within 3 %.
    expect(Math.abs(t.measured / Math.max(...ways) - 1)).toBeLessThan(0.03)
    expect(Math.abs(t.frames[0] - ways.findIndex((w) => w > 1))).toBeLessThanOrEqual(1)
    expect(t.sentence).toMatch(/stays in the frame/)
  })

  it('speaks of a track that drifts by three pixels', () => {
    const t = only(r, 'slide', 'drifts')
    expect(Math.abs(t.measured - 3)).toBeLessThan(0.3)
    expect(Math.abs(t.frames[0] - 13)).toBeLessThanOrEqual(3)
    expect(t.cause).toMatch(/drifting/)
  })

  it('speaks of trembling, and not of trembling that nobody sees', () => {
    const t = only(r, 'slide', 'trembles')
    expect(t.sentence).toMatch(/trembles/)
    // Even over ±0.8 px along each axis: the rms of both is 0.8 · √(2/3).
    expect(Math.abs(t.measured / (0.8 * Math.sqrt(2 / 3)) - 1)).toBeLessThan(0.25)
    expect(ours(r, 'unrest')).toEqual([])
  })

  it('says nothing of smoke that follows or of what moves by itself', () => {
    expect(ours(r, 'smoke')).toEqual([])
    expect(why(r, 'slide', 'smoke')).toMatch(/foot/)
    expect(ours(r, 'rises')).toEqual([])
    expect(why(r, 'slide', 'rises')).toMatch(/by itself/)
  })

  it('speaks of rounded positions', () => {
    expect(only(r, 'stepping', 'rounded').sentence).toMatch(/whole pixels/)
  })

  it('speaks of a place that is set every third frame', () => {
    const t = only(r, 'stepping', 'thirds')
    expect(t.sentence).toMatch(/in steps/)
    expect(t.measured).toBeGreaterThan(0.6)
    expect(t.measured).toBeLessThan(0.7)
  })

  it('has what it saw in the ledger, and says that it followed things in the finished file', () => {
    const row = (quantity: string, id: string) =>
      r.ledger.find((l) => l.quantity === quantity && l.element === id)
    const slide = row('slide', 'stands')
    // Left in the frame: the ground goes, it does not, and all of the way lies between.
    expect(slide?.source?.[0]).toBeLessThan(0.01)
    expect((slide?.result?.[0] as number) / (slide?.plate?.[0] as number)).toBeCloseTo(1, 1)
    expect(slide?.verdict).toBe('tell')
    for (const id of ['stands', 'follows', 'drifts', 'trembles'])
      expect([id, row('slide', id)?.note]).toEqual([
        id,
        expect.stringMatching(/followed in the finished file/),
      ])
    expect(row('slide', 'follows')?.verdict).toBe('fits')
    expect(row('slide', 'smoke')?.verdict).toBe('cannot tell')
    expect(row('stepping', 'thirds')?.verdict).toBe('tell')
  })

  it('follows the file and not its document: one that drifts in the file alone, and flames', async () => {
    const { motion } = hand
    const tracks = [await track(hand, 'ground', motion)]
    const follows = { follow: { track: 'ground' } }
    const board = { ...crate(hand), ...follows, position: { x: 120, y: 120 } }
    const burns = { ...flame(hand, 'burns'), ...follows, foot: [32, 70], position: { x: 300, y: 120 } }
    // 4 px to the right until the end, in the file that is rendered and in no document that is checked.
    const keys = [
      { frame: 0, dx: 0, dy: 0 },
      { frame: SIZE.frames - 1, dx: 4, dy: 0 },
    ]
    const drifting = [board, burns].map((e) => ({ ...e, keys }))
    const file = await render(hand, shotOf(drifting, { tracks }))
    const f = await checkFile(hand, shotOf([board, burns], { tracks }), file)
    for (const id of ['crate', 'burns']) {
      const t = only(f, 'slide', id)
      // What is put 4 px aside on the first frame grows with the zoom of 1.05.
      expect(Math.abs(t.measured - 4 * 1.05)).toBeLessThan(0.3)
      expect(t.cause).not.toMatch(/Judged by/)
    }
  })

  it('cannot tell without texture', async () => {
    const even = { width: 1400, height: 1000, data: new Float32Array(1.4e6).fill(120) }
    const flat = await film(root, HAND, { surface: even, frames: 10 })
    const f = await check(flat, shotOf([crate(flat)]))
    expect(ours(f)).toEqual([])
    expect(why(f, 'slide', 'crate')).toMatch(/texture/)
  })
})

it('says nothing of what stands in a plate that stands', async () => {
  const r = await check(still, shotOf([crate(still)]))
  expect(ours(r)).toEqual([])
  expect(why(r, 'slide', 'crate')).toBeUndefined()
})

describe('what the files hold', () => {
  let small: Filmed
  const left = { x: 60, y: 60 }
  const right = { x: 180, y: 60 }
  const burning = (...of: Parameters<typeof flame>) => ({ ...flame(...of), position: left })
  beforeAll(async () => {
    small = await film(root, {}, { width: 240, height: 120 })
    flame(small, 'first')
  })

  it('stepping: speaks of a file that holds each picture twice, and not of one at half the rate that says so', async () => {
    const half = { ...flame(small, 'half', { count: 20, seed: 9 }), rate: '12', position: right }
    const r = await check(small, shotOf([burning(small, 'stutters', { held: 2 }), half]))
    expect(Math.abs(only(r, 'stepping', 'stutters').measured - 0.5)).toBeLessThan(0.05)
    expect(ours(r, 'half')).toEqual([])
  })

  it('repeated: is quiet with two takes, and with a loop that begins elsewhere each round', async () => {
    const round = { ...flame(small, 'round', { count: 24, seed: 8 }), position: right }
    const seeded = { ...round, time: { loop: { first: 2, count: 20, cross: 3, seed: 4 } } }
    expect(ours(await check(small, shotOf([burning(small, 'first'), seeded])))).toEqual([])
  })

  it('repeated: speaks of a take that goes round', async () => {
    const round = { ...burning(small, 'goes-round', { count: 16 }), time: { loop: { first: 0, count: 16 } } }
    const t = only(await check(small, shotOf([round])), 'repeated')
    expect(t.frames[0]).toBe(16)
    expect(t.sentence).toMatch(/every 16 frames/)
  })

  it.each([
    ['as it is', {}, 0, /once more: the same \d+ pictures, at the same time/],
    ['later', {}, 10, /10 frames later/],
    ['mirrored', { mirror: true }, 4, /mirrored/],
    ['at half speed', { speed: 0.5 }, 0, /at 0\.50 of its speed/],
    ['backwards', { first: 39, speed: -1 }, 0, /backwards/],
  ] as const)('repeated: speaks of a take seen twice, %s', async (name, how, startFrame, words) => {
    const id = `second-${name.replaceAll(' ', '-')}`
    const b = { ...flame(small, id, how), position: right, startFrame }
    const a = { ...b, id: 'first', file: 'first', position: left, startFrame: 0 }
    const t = only(await check(small, shotOf([a, b])), 'repeated')
    expect(t.element).toBe(id)
    expect(t.sentence).toMatch(words)
    expect(t.measured).toBeGreaterThan(0.95)
    expect(t.region.x).toBeGreaterThan(120)
  })
})

describe('over what is nearer', () => {
  it('speaks of a thing that passes under an element, and not where a shape holds it out', async () => {
    const passes = await film(root, {}, { before: (n) => ({ x: 30 + 6 * n, width: 60 }) })
    const points = (n: number) => [
      [30 + 6 * n, 0],
      [90 + 6 * n, 0],
      [90 + 6 * n, SIZE.height],
      [30 + 6 * n, SIZE.height],
    ]
    const bar = {
      id: 'bar',
      kind: 'polygon',
      featherPx: 0,
      keys: [0, SIZE.frames - 1].map((frame) => ({ frame, points: points(frame) })),
    }
    const over = crate(passes)
    const held = { ...over, id: 'held', position: { x: 240, y: 60 }, holdout: { shapes: ['bar'] } }
    const r = await check(passes, shotOf([over, held], { shapes: [bar] }))
    const t = only(r, 'over-nearer', 'crate')
    // It covers the 31 px about x = 240 wholly when 30 + 6 n ≤ 224 and 90 + 6 n ≥ 256.
    expect(t.frames[0]).toBeLessThanOrEqual(28)
    expect(t.frames[1]).toBeGreaterThanOrEqual(32)
    expect(t.sentence).toMatch(/passes before the foot/)
    expect(ours(r, 'held')).toEqual([])
  })

  it('speaks by the depth map, unless that hides the element', async () => {
    // A wall 2 m away on the left of x = 240, nothing nearer than 9 m on the right; 16 bits, 10 m at full code.
    const codes = Uint16Array.from({ length: 3 * SIZE.width * SIZE.height }, (_, i) =>
      Math.floor(i / 3) % SIZE.width < 240 ? 13107 : 58982,
    )
    writePng(join(still.folder, 'depth.png'), SIZE.width, SIZE.height, 3, codes)
    const site = { depth: { file: 'depth.png', still: true, a: 10 } }
    const one = (id: string, y: number, distanceM: number) => ({
      ...crate(still),
      ...{ id, position: { x: 240, y }, distanceM },
    })
    const hidden = { ...one('hidden', 220, 5), holdout: { depth: true } }
    const r = await check(still, shotOf([one('crate', 50, 5), one('nearer', 135, 1.9), hidden], { site }))
    const t = only(r, 'over-nearer', 'crate')
    // Half of the crate lies on the left.
    expect(Math.abs(t.measured - 0.5)).toBeLessThan(0.03)
    expect(t.sentence).toMatch(/about 2\.0 m away, and it stands at 5\.0 m/)
    expect(ours(r, 'hidden')).toEqual([])
    expect(ours(r, 'nearer')).toEqual([])
  })
})

describe('size and horizon', () => {
  const camera = { sensorWidthMm: 36, focalLengthMm: 36, heightM: 1.5 }
  // The foot at y = 178, the horizon at y = 88: 480 px · 1.5 m / 90 px = 8 m away; a pixel there is 8 / 480 m.
  const site = {
    horizon: {
      points: [
        [0, 88],
        [479, 88],
      ],
    },
  }
  const one = (id: string, x: number, more: object) => ({
    ...crate(still),
    id,
    position: { x, y: 150 },
    ...more,
  })

  it('speaks of an element that is half as tall again as it is', async () => {
    // 60 px come to 1 m there; its own distance is told wrong, so that it is drawn too large.
    const tall = (heightM: number) => ({ scale: undefined, heightM, distanceM: 8 * heightM })
    const elements = [one('large', 120, tall(0.66)), one('right', 360, tall(1))]
    const r = await check(still, shotOf(elements, { camera, site }))
    const t = r.tells.filter((x) => x.tell === 'wrong-size')
    expect(t.map((x) => x.element)).toEqual(['large'])
    expect(t[0]?.measured).toBeCloseTo(1, 1)
    expect(t[0]?.sentence).toMatch(/5\d % too large/)
  })

  it('speaks of one that was filmed from above', async () => {
    const from = (tiltDeg: number) => ({ filmed: { tiltDeg } })
    const elements = [one('above', 120, from(-40)), one('right', 360, from(-8))]
    const r = await check(still, shotOf(elements, { camera, site }))
    const t = r.tells.filter((x) => x.tell === 'wrong-horizon')
    expect(t.map((x) => x.element)).toEqual(['above'])
    expect(t[0]?.measured).toBeCloseTo(-40, 3)
  })
})
