/**
 * The tells that show over a whole shot, on finished files: each fires on the fault that was put in, with its frame, place and
 * figure from how the pictures were made; what is right stays quiet.
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
import { check } from './shots.js'

const root = mkdtempSync(join(tmpdir(), 'platefit-over-time-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

let hand: Filmed
let still: Filmed
beforeAll(async () => {
  hand = await film(root, HAND)
  still = await film(root, {})
}, 120_000)

const OURS = ['slide', 'stepping', 'over-nearer', 'repeated']
const ours = (r: CheckResult): string[] =>
  r.tells.filter((t) => OURS.includes(t.tell)).map((t) => `${t.tell}: ${t.sentence}`)
const why = (r: CheckResult, tell: string) => r.undecided.find((u) => u.tell === tell)?.why

function only(r: CheckResult, tell: string): Tell {
  expect(ours(r).filter((s) => !s.startsWith(`${tell}:`))).toEqual([])
  const found = r.tells.find((t) => t.tell === tell)
  if (found === undefined) throw new Error(`${tell} is quiet; cannot tell: ${JSON.stringify(r.undecided)}`)
  expect(found.region.width * found.region.height).toBeGreaterThan(0)
  return found
}

/** How far the ground under a foot goes from where it was on the first frame, px: the truth. */
function wayOf(f: Filmed, n: number, x: number, y: number): number {
  const [u, v] = at(f.motion(n), x, y)
  return Math.hypot(u - x, v - y)
}
const foot = [240 - 35 + FOOT[0], 150 - 30 + FOOT[1]] as const

describe('slide', () => {
  it('is quiet where an element follows the ground, or nothing moves', async () => {
    const tracks = [await track(hand, 'ground', hand.motion)]
    const follows = shotOf([{ ...crate(hand), follow: { track: 'ground' } }], { tracks })
    const r = await check(hand, follows)
    expect(ours(r)).toEqual([])
    expect(why(r, 'slide')).toBeUndefined()
    const stands = await check(still, shotOf([crate(still)]))
    expect(ours(stands)).toEqual([])
    expect(why(stands, 'slide')).toBeUndefined()
  }, 120_000)

  it('speaks of an element that stays in the frame while the plate moves', async () => {
    const t = only(await check(hand, shotOf([crate(hand)])), 'slide')
    const ways = Array.from({ length: SIZE.frames }, (_, n) => wayOf(hand, n, ...foot))
    const furthest = Math.max(...ways)
    // It slides over other ground than it stood on, which the zoom carries otherwise: within 3 %.
    expect(Math.abs(t.measured / furthest - 1)).toBeLessThan(0.03)
    expect(Math.abs(t.frames[0] - ways.findIndex((w) => w > 1))).toBeLessThanOrEqual(1)
    expect(t.sentence).toMatch(/stays in the frame/)
  }, 120_000)

  it('speaks of a track that drifts by three pixels', async () => {
    const drifting = (n: number) => {
      const m = [...hand.motion(n)]
      const by = (3 * n) / (SIZE.frames - 1)
      return m.map((v, i) => (i < 3 ? v + by * (m[6 + i] as number) : v))
    }
    const tracks = [await track(hand, 'drifting', drifting)]
    const t = only(
      await check(hand, shotOf([{ ...crate(hand), follow: { track: 'drifting' } }], { tracks })),
      'slide',
    )
    expect(Math.abs(t.measured - 3)).toBeLessThan(0.3)
    expect(Math.abs(t.frames[0] - 13)).toBeLessThanOrEqual(3)
    expect(t.cause).toMatch(/drifting/)
  }, 120_000)

  it('speaks of trembling, and not of trembling that nobody sees', async () => {
    const shaken = (amount: number) => {
      const next = uniforms(11)
      // Even over ±amount along each axis: the rms of both is amount · √(2/3).
      return (v: number) => v + amount * (2 * next() - 1)
    }
    const one = (amount: number) =>
      check(hand, shotOf([{ ...crate(hand), keys: keys(hand.motion, ...foot, shaken(amount)) }]))
    const t = only(await one(0.8), 'slide')
    expect(t.sentence).toMatch(/trembles/)
    expect(Math.abs(t.measured / (0.8 * Math.sqrt(2 / 3)) - 1)).toBeLessThan(0.25)
    expect(ours(await one(0.1))).toEqual([])
  }, 120_000)

  it('cannot tell without texture, and says nothing of smoke that follows or of what moves by itself', async () => {
    const tracks = [await track(hand, 'ground', hand.motion)]
    const smoke = { ...crate(hand), nature: 'absorbs', foot: undefined, follow: { track: 'ground' } }
    const r = await check(hand, shotOf([smoke], { tracks }))
    expect(ours(r)).toEqual([])
    expect(why(r, 'slide')).toMatch(/foot/)
    const drifts = { ...crate(hand), drift: { upMs: 1 }, distanceM: 5 }
    const camera = { sensorWidthMm: 36, focalLengthMm: 35 }
    const d = await check(hand, shotOf([drifts], { camera }))
    expect(ours(d)).toEqual([])
    expect(why(d, 'slide')).toMatch(/by itself/)
    const even = { width: 3000, height: 2000, data: new Float32Array(6e6).fill(120) }
    const flat = await film(root, HAND, { surface: even })
    const f = await check(flat, shotOf([crate(flat)]))
    expect(ours(f)).toEqual([])
    expect(why(f, 'slide')).toMatch(/texture/)
  }, 240_000)
})

describe('stepping', () => {
  it('speaks of rounded positions', async () => {
    const rounded = { ...crate(hand), keys: keys(hand.motion, ...foot, Math.round) }
    const t = only(await check(hand, shotOf([rounded])), 'stepping')
    expect(t.sentence).toMatch(/whole pixels/)
  }, 120_000)

  it('speaks of a place that is set every third frame', async () => {
    const all = keys(hand.motion, ...foot)
    const steps = all.map((k) => ({ ...all[3 * Math.floor(k.frame / 3)], frame: k.frame }))
    const t = only(await check(hand, shotOf([{ ...crate(hand), keys: steps }])), 'stepping')
    expect(t.sentence).toMatch(/in steps/)
    expect(t.measured).toBeGreaterThan(0.6)
    expect(t.measured).toBeLessThan(0.7)
  }, 120_000)

  it('speaks of a file that holds each picture twice, and not of one at half the rate that says so', async () => {
    const r = await check(still, shotOf([flame(still, 'stutters', { held: 2 })]))
    const t = only(r, 'stepping')
    expect(Math.abs(t.measured - 0.5)).toBeLessThan(0.05)
    const half = { ...flame(still, 'half', { count: 20 }), rate: '12' }
    expect(ours(await check(still, shotOf([half])))).toEqual([])
  }, 120_000)
})

describe('repeated', () => {
  it('is quiet with two takes, and with a loop that begins elsewhere each round', async () => {
    const one = flame(still, 'one')
    const two = { ...flame(still, 'two', { seed: 8 }), position: { x: 330, y: 150 } }
    expect(ours(await check(still, shotOf([one, two])))).toEqual([])
    const round = flame(still, 'round', { count: 24 })
    const seeded = { ...round, time: { loop: { first: 2, count: 20, cross: 3, seed: 4 } } }
    expect(ours(await check(still, shotOf([seeded])))).toEqual([])
  }, 120_000)

  it('speaks of a take that goes round', async () => {
    const round = { ...flame(still, 'goes-round', { count: 16 }), time: { loop: { first: 0, count: 16 } } }
    const t = only(await check(still, shotOf([round])), 'repeated')
    expect(t.frames[0]).toBe(16)
    expect(t.sentence).toMatch(/every 16 frames/)
  }, 120_000)

  it.each([
    ['as it is', {}, 0, /once more: the same \d+ pictures, at the same time/],
    ['later', {}, 10, /10 frames later/],
    ['mirrored', { mirror: true }, 4, /mirrored/],
    ['at half speed', { speed: 0.5 }, 0, /at 0\.50 of its speed/],
    ['backwards', { first: 39, speed: -1 }, 0, /backwards/],
  ] as const)(
    'speaks of a take seen twice, %s',
    async (name, how, startFrame, words) => {
      const a = flame(still, 'first')
      const id = `second-${name.replaceAll(' ', '-')}`
      const b = { ...flame(still, id, how), position: { x: 330, y: 150 }, startFrame }
      const t = only(await check(still, shotOf([a, b])), 'repeated')
      expect(t.element).toBe(id)
      expect(t.sentence).toMatch(words)
      expect(t.measured).toBeGreaterThan(0.95)
      // The second one stands on the right.
      expect(t.region.x).toBeGreaterThan(240)
    },
    120_000,
  )
})

describe('over what is nearer', () => {
  /** A bar passes before the foot: from frame 10 + (205 − 20 − 25) / 8 on. */
  const before = (n: number) => ({ x: 30 + 6 * n, width: 60 })

  it('speaks of a thing that passes under an element, and not where a shape holds it out', async () => {
    const passes = await film(root, {}, { before })
    const t = only(await check(passes, shotOf([crate(passes)])), 'over-nearer')
    // It covers the 31 px about x = 240 wholly when 30 + 6 n ≤ 224 and 90 + 6 n ≥ 256.
    expect(t.frames[0]).toBeLessThanOrEqual(28)
    expect(t.frames[1]).toBeGreaterThanOrEqual(32)
    expect(t.sentence).toMatch(/passes before the foot/)
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
    const held = { ...crate(passes), holdout: { shapes: ['bar'] } }
    expect(ours(await check(passes, shotOf([held], { shapes: [bar] })))).toEqual([])
  }, 240_000)

  it('speaks by the depth map, unless that hides the element', async () => {
    // A wall 2 m away on the left of x = 240, nothing nearer than 9 m on the right; 16 bits, 10 m at full code.
    const codes = Uint16Array.from({ length: 3 * SIZE.width * SIZE.height }, (_, i) =>
      Math.floor(i / 3) % SIZE.width < 240 ? 13107 : 58982,
    )
    writePng(join(still.folder, 'depth.png'), SIZE.width, SIZE.height, 3, codes)
    const site = { depth: { file: 'depth.png', still: true, a: 10 } }
    const one = { ...crate(still), distanceM: 5 }
    const t = only(await check(still, shotOf([one], { site })), 'over-nearer')
    // Half of the crate lies on the left.
    expect(Math.abs(t.measured - 0.5)).toBeLessThan(0.03)
    expect(t.sentence).toMatch(/about 2\.0 m away, and it stands at 5\.0 m/)
    expect(ours(await check(still, shotOf([{ ...one, holdout: { depth: true } }], { site })))).toEqual([])
    expect(ours(await check(still, shotOf([{ ...one, distanceM: 1.9 }], { site })))).toEqual([])
  }, 240_000)
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

  it('speaks of an element that is half as tall again as it is', async () => {
    // 60 px come to 1 m there; its own distance is told wrong, so that it is drawn too large.
    const at = (heightM: number) =>
      shotOf([{ ...crate(still), scale: undefined, heightM, distanceM: 8 * heightM }], { camera, site })
    const r = await check(still, at(0.66))
    const t = r.tells.find((x) => x.tell === 'wrong-size')
    expect(t?.measured).toBeCloseTo(1, 1)
    expect(t?.sentence).toMatch(/5\d % too large/)
    expect((await check(still, at(1))).tells.filter((x) => x.tell === 'wrong-size')).toEqual([])
  }, 120_000)

  it('speaks of one that was filmed from above', async () => {
    const at = (tiltDeg: number) => shotOf([{ ...crate(still), filmed: { tiltDeg } }], { camera, site })
    const t = (await check(still, at(-40))).tells.find((x) => x.tell === 'wrong-horizon')
    expect(t?.measured).toBeCloseTo(-40, 3)
    expect((await check(still, at(-8))).tells.filter((x) => x.tell === 'wrong-horizon')).toEqual([])
  }, 120_000)
})
