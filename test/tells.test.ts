/**
 * The check on painted pictures of which everything is known: a good fit is quiet, and each tell fires on the fault that was
 * put in. What is expected follows from how the pictures were made (test/tells/), never from the program.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { CheckResult, Shot, Tell } from '../src/engine/index.js'
import { markMeant } from '../src/shot/index.js'
import { shifted } from './tells/faulty-file.js'
import { AIR } from './tells/plate.js'
import {
  check,
  checkFile,
  document,
  type Files,
  far,
  fitAgain,
  fitted,
  makeElement,
  makePlate,
  names,
  render,
  said,
  set,
} from './tells/shots.js'

const root = mkdtempSync(join(tmpdir(), 'platefit-tells-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

let files: Files
/** Fitted and untouched. */
let smoke: Shot
let card: Shot
let fire: Shot
let farSmoke: Shot

beforeAll(async () => {
  files = makePlate(root, 1)
  const cloud = makeElement(files, 'smoke', 1)
  smoke = await fitted(files, document('smoke', cloud))
  farSmoke = await fitted(files, document('smoke', cloud, far))
  card = await fitted(files, document('card', makeElement(files, 'card', 1)))
  fire = await fitted(files, document('fire', makeElement(files, 'fire', 1)))
})

/** The tell of this name; whatever else is said must be named among its companions. */
function only(r: CheckResult, tell: string, ...companions: string[]): Tell {
  expect(said(r).filter((s) => ![tell, ...companions].some((n) => s.startsWith(`${n}:`)))).toEqual([])
  const found = r.tells.find((t) => t.tell === tell)
  if (found === undefined) throw new Error(`${tell} is quiet; said: ${said(r).join(' | ') || 'nothing'}`)
  expect(found.sentence.length * found.cause.length * found.remedy.length).toBeGreaterThan(0)
  expect(found.frames[0]).toBeLessThanOrEqual(found.frames[1])
  expect(found.region.width * found.region.height).toBeGreaterThan(0)
  return found
}

const value = (shot: Shot, name: string): number[] => {
  const t = shot.elements[0]?.treatments[name as keyof Shot['elements'][0]['treatments']]
  if (t === undefined || !('value' in t)) throw new Error(`no ${name}`)
  return t.value
}
const scaled = (shot: Shot, name: string, by: number | readonly number[]): Shot =>
  set(
    shot,
    shot.elements[0]?.id as string,
    name,
    value(shot, name).map((v, c) => v * (typeof by === 'number' ? by : (by[c] as number))),
  )
const linked = (shot: Shot, links: NonNullable<Shot['elements'][0]['links']>): Shot => ({
  ...shot,
  elements: shot.elements.map((e) => ({ ...e, links })),
})

describe('a good fit is quiet', () => {
  it.each([
    ['smoke', () => smoke],
    ['card', () => card],
    ['fire', () => fire],
    ['smoke 65 m away', () => farSmoke],
  ])('%s', async (_, shot) => {
    expect(said(await check(files, shot(), { format: 'prores-422-hq' }))).toEqual([])
  })

  it.each([2])('all three together on grain of seed %i', async (seed) => {
    const own = makePlate(root, seed)
    const one = document('smoke', makeElement(own, 'smoke', seed), { position: { x: 100, y: 80 } })
    const two = document('card', makeElement(own, 'card', seed), { position: { x: 80, y: 190 } })
    const three = document('fire', makeElement(own, 'fire', seed))
    const all = { ...one, elements: [...one.elements, ...two.elements, ...three.elements] }
    expect(said(await check(own, await fitted(own, all)))).toEqual([])
  })
})

describe('light', () => {
  it.each([
    ['deep', 0.25, -1],
    ['raised', 4, 1],
  ] as const)('blacks two stops too %s', async (_, by, direction) => {
    const faulty = scaled(smoke, 'light.plateBlack', by)
    // Blacks raised nearly to the middle bend the middle too, not alike in all channels.
    const t = only(await check(files, faulty), 'blacks', ...(by > 1 ? ['middle', 'cast'] : []))
    expect([t.element, t.link]).toEqual(['smoke', 'light'])
    expect(Math.sign(t.measured - t.expected)).toBe(direction)
    expect(t.sentence).toMatch(direction < 0 ? /too deep/ : /too light/)
    expect(await fitAgain(files, faulty, 'smoke', 'light.plateBlack')).toEqual(smoke)
  })

  it('whites a stop too bright', async () => {
    const faulty = scaled(card, 'light.plateWhite', 2)
    // A white twice as far away takes what lies between along.
    const t = only(await check(files, faulty), 'whites', 'middle')
    expect([t.element, t.link]).toEqual(['card', 'light'])
    expect(t.measured).toBeGreaterThan(t.expected)
    expect(await fitAgain(files, faulty, 'card', 'light.plateWhite')).toEqual(card)
  })

  it('middle a stop too dark', async () => {
    const faulty = scaled(smoke, 'light.plateMiddle', 0.5)
    const t = only(await check(files, faulty), 'middle')
    expect(t.element).toBe('smoke')
    // What was asked for is half of what stands on the wall; the match goes no further than γ = 2.
    expect(Math.log2(t.measured / t.expected)).toBeGreaterThan(-1.3)
    expect(Math.log2(t.measured / t.expected)).toBeLessThan(-0.5)
    expect(await fitAgain(files, faulty, 'smoke', 'light.plateMiddle')).toEqual(smoke)
  })

  it('a cast: red × 1.5', async () => {
    const points = ['light.plateBlack', 'light.plateMiddle', 'light.plateWhite']
    const faulty = points.reduce((s, name) => scaled(s, name, [1.5, 1, 1]), card)
    const t = only(await check(files, faulty), 'cast')
    expect([t.element, t.link]).toEqual(['card', 'light'])
    expect(t.sentence).toMatch(/red/)
    // log2 1.5 = 0.585.
    expect(t.sentence).toMatch(/0\.[56] stops/)
    expect(await fitAgain(files, faulty, 'card', ...points)).toEqual(card)
  })

  it('nobody answers the light', async () => {
    const faulty = set(fire, 'fire', 'light.cast', [0])
    const t = only(await check(files, faulty), 'unanswered-light')
    expect([t.element, t.link]).toEqual(['fire', 'light'])
    expect(t.measured).toBeCloseTo(0, 1)
    expect(t.expected).toBeGreaterThan(0.2)
    expect(await fitAgain(files, faulty, 'fire', 'light.cast')).toEqual(fire)
  })
})

describe('air and lens', () => {
  it.each([1, 0.85])('haze of t = %f at 65 m', async (t0) => {
    const faulty = set(farSmoke, 'smoke', 'air.transmittance', [t0, t0, t0])
    const t = only(await check(files, faulty), 'haze', 'blacks', 'middle', 'whites', 'cast')
    expect([t.element, t.link]).toEqual(['smoke', 'air'])
    // The pictures were made with t = 0.6.
    expect(t.expected).toBeCloseTo(0.4, 2)
    expect(t.measured).toBeLessThan(t.limit)
    expect(await fitAgain(files, faulty, 'smoke', 'air.transmittance')).toEqual(farSmoke)
    expect(value(farSmoke, 'air.transmittance')[0]).toBeCloseTo(0.6, 6)
    for (const [c, v] of value(farSmoke, 'air.airlight').entries())
      expect(Math.abs(v / (AIR[c] as number) - 1)).toBeLessThan(0.2)
  })

  it('edges sharper than the lens, and the blur that the remedy names', async () => {
    const soft = makePlate(root, 1, { lensSigma: 1.6 })
    const board = makeElement(soft, 'card', 1, { edge: 0 })
    const fit = await fitted(soft, document('card', board))
    // What stands beside the card says how soft it should be.
    expect(said(await check(soft, fit))).toEqual([])
    const hard = set(fit, 'card', 'lens.blurRadius', [0])
    const t = only(await check(soft, hard), 'edge-width')
    expect([t.element, t.link]).toEqual(['card', 'lens'])
    expect(t.measured).toBeLessThan(t.limit)
    // 10 to 90 % of a Gaussian edge: 2.5631 σ. Within a third: codes are not light, and the sharpest tenth is what grain helps.
    expect(Math.abs(t.expected / (2.5631 * 1.6) - 1)).toBeLessThan(0.33)
    const radius = Number(/([\d.]+) px/.exec(t.remedy)?.[1])
    const softened = set(hard, 'card', 'lens.blurRadius', [radius])
    expect(said(await check(soft, softened))).toEqual([])
    only(await check(soft, linked(softened, { lens: { off: true } })), 'edge-width')
  })
})

describe('what the plate’s lens and sensor do to light, an element that was spared gives itself away', () => {
  const off = { lens: { off: true } } as const
  const plateSays = (shot: Shot, name: string, value: number[]) => set(shot, 'plate', name, value)

  it('fall-off toward the corner', async () => {
    const dark = plateSays(card, 'lens.vignette', [-0.6, 0, 0])
    expect(names(await check(files, dark))).not.toContain('fall-off')
    const t = only(await check(files, linked(dark, off)), 'fall-off', 'haze')
    expect([t.element, t.link]).toEqual(['card', 'lens'])
    expect(t.sentence).toMatch(/too bright/)
  })

  it('the skirt of glare around a fire', async () => {
    const bright = set(fire, 'fire', 'light.exposure', [(value(fire, 'light.exposure')[0] as number) + 3])
    const glaring = plateSays(plateSays(bright, 'lens.glareShare', [0.4]), 'lens.glareWidth', [5])
    expect(names(await check(files, glaring))).not.toContain('no-skirt')
    // So bright by hand it asks more of the wall, and its own border shows.
    const t = only(await check(files, linked(glaring, off)), 'no-skirt', 'unanswered-light', 'cut-border')
    expect([t.element, t.link]).toEqual(['fire', 'lens'])
  })

  it('an element brighter than the sensor holds', async () => {
    const short = plateSays(card, 'sensor.clip', [0.35, 0.35, 0.35])
    expect(names(await check(files, short))).not.toContain('beyond-clip')
    const t = only(await checkFile(files, short, await render(files, card)), 'beyond-clip')
    expect([t.element, t.link, t.expected]).toEqual(['card', 'sensor', 0.35])
  })

  it('an element blurred more than what stands beside it', async () => {
    const t = only(await check(files, set(card, 'card', 'lens.blurRadius', [6])), 'softness')
    expect([t.element, t.link]).toEqual(['card', 'lens'])
    expect(t.sentence).toMatch(/softer/)
  })
})

describe('sensor', () => {
  it('no grain where the element covers', async () => {
    const t = only(await check(files, smoke, { grain: false }), 'grain-amount')
    expect([t.element, t.link]).toEqual(['smoke', 'sensor'])
    expect(t.measured).toBeLessThan(0.7)
  })

  it('an element with three times the grain', async () => {
    // The plate at 0.2: σ² = 2.5e-4 · 0.2 + 3e-6, so 0.0162 √v is about 3 σ where the element is matched one to one.
    const noisy = makeElement(files, 'smoke', 1, { grain: 0.05 })
    const t = only(await check(files, await fitted(files, document('smoke', noisy))), 'grain-amount')
    expect([t.element, t.link]).toEqual(['smoke', 'sensor'])
    expect(t.measured).toBeGreaterThan(1.4)
  })

  it('grain finer than the plate’s', async () => {
    const faulty = set(smoke, 'plate', 'sensor.grainCorrelation', Array(12).fill(0))
    const t = only(await check(files, faulty), 'grain-size')
    expect([t.element, t.link]).toEqual(['smoke', 'sensor'])
    // Taps [½, 1, ½]: correlation with the next pixel ⅔.
    expect(Math.abs(t.expected - 2 / 3)).toBeLessThan(0.1)
    expect(Math.abs(t.measured)).toBeLessThan(0.2)
    expect(t.sentence).toMatch(/finer/)
    expect(await fitAgain(files, faulty, 'plate', 'sensor.grainCorrelation')).toEqual(smoke)
  })

  it('a still that carries its grain along', async () => {
    const still = makeElement(files, 'smoke', 1, { grain: 0.014, still: true })
    // Sharp as it is: the blur of what stands beside it takes most of its own grain, and new grain is put there.
    const sharp = set(await fitted(files, document('smoke', still)), 'smoke', 'lens.blurRadius', [0])
    const t = only(await check(files, sharp), 'frozen-grain')
    expect([t.element, t.link]).toEqual(['smoke', 'sensor'])
    expect(t.measured).toBeGreaterThan(t.limit)
    // Remedy: the element at its true rate.
    const moving = makeElement(files, 'smoke', 1, { grain: 0.014 })
    expect(names(await check(files, await fitted(files, document('smoke', moving))))).toEqual([])
  })
})

describe('a link that the document weakens gives itself away', () => {
  it.each([
    ['off', { off: true as const }, 0],
    // The same air over half the way, of t = 0.6: 1 − √0.6.
    ['half', { strength: 0.5 }, 0.225],
  ])('air, %s', async (_, air, measured) => {
    const t = only(
      await check(files, linked(farSmoke, { air })),
      'haze',
      'blacks',
      'middle',
      'whites',
      'cast',
    )
    expect(t.expected).toBeCloseTo(0.4, 2)
    expect(Math.abs(t.measured - measured)).toBeLessThan(0.05)
  })

  it('sensor: no grain where the element covers', async () => {
    only(await check(files, linked(smoke, { sensor: { off: true } })), 'grain-amount')
  })

  it('light: nobody answers it', async () => {
    const t = only(await check(files, linked(fire, { light: { off: true } })), 'unanswered-light')
    expect(t.measured).toBeCloseTo(0, 1)
  })
})

describe('source and place', () => {
  it.each([
    ['straight declared premultiplied', false, 'premultiplied', 'straight', 1],
    ['premultiplied declared straight', true, 'straight', 'premultiplied', -1],
  ] as const)('halo: %s', async (_, premultiplied, declared, remedy, direction) => {
    const file = makeElement(files, 'smoke', 1, { premultiplied })
    const shot = await fitted(files, document('smoke', file, { alpha: declared }))
    // Colour that is wrong at the rim is wrong in its ends too.
    // What a straight file holds where alpha is 0 counts as a glow, up to its border.
    const t = only(
      await check(files, shot),
      'halo',
      'blacks',
      'whites',
      'middle',
      'grain-amount',
      'cut-border',
    )
    expect([t.element, t.link]).toEqual(['smoke', 'source'])
    expect(Math.sign(t.measured)).toBe(direction)
    expect(t.remedy).toContain(`"${remedy}"`)
    const right = await fitted(files, document('smoke', file, { alpha: remedy }))
    expect(said(await check(files, right))).toEqual([])
  })

  it.each([
    // A line of green is an edge of its own, and sharper than the plate's.
    ['spill', { spill: 0.15 }, 'green', 'edge-width'],
    ['matte-holes', { hole: 0.7 }, 'lets the plate through', ''],
    // The veil ends where the picture does.
    ['matte-veil', { veil: 0.03 }, 'veil', 'cut-border'],
    ['matte-chatter', { flicker: 0.2 }, 'flickers', 'edge-width'],
  ] as const)('a badly keyed card: %s', async (tell, faults, words, companion) => {
    const file = makeElement(files, 'card', 1, faults)
    const t = only(await check(files, await fitted(files, document('card', file))), tell, companion || tell)
    expect([t.element, t.link]).toEqual(['card', 'source'])
    expect(t.measured).toBeGreaterThan(t.limit)
    expect(t.sentence).toContain(words)
    // 15×15 px of the solid 116×86, in the card's middle.
    if (tell !== 'matte-holes') return
    expect(Math.abs(t.measured - 225 / (116 * 86 - 225))).toBeLessThan(0.006)
    expect(Math.abs(t.region.x + t.region.width / 2 - 90)).toBeLessThan(3)
    expect(Math.abs(t.region.y + t.region.height / 2 - 150)).toBeLessThan(3)
  })

  it('cut by the border of its own picture', async () => {
    const cut = makeElement(files, 'smoke', 1, { shift: 60 })
    const shot = await fitted(files, document('smoke', cut, { position: { x: 150, y: 120 } }))
    const t = only(await check(files, shot), 'cut-border')
    expect([t.element, t.link]).toEqual(['smoke', 'place'])
    expect(t.measured).toBeGreaterThan(t.limit)
    // Its left border lies at 150 − 88.
    expect(Math.abs(t.region.x + t.region.width / 2 - 62)).toBeLessThanOrEqual(4)
    const moved = await fitted(files, document('smoke', cut, { position: { x: 84, y: 120 } }))
    expect(said(await check(files, moved))).toEqual([])
  })
})

describe('display', () => {
  it('a plate that was changed where nothing was placed', async () => {
    const rendered = await render(files, smoke)
    // Two hundredths of the code lift the element's own blacks too.
    const faulty = await shifted(rendered, 0.02)
    const t = only(await checkFile(files, smoke, faulty), 'plate-changed', 'grain-amount', 'blacks')
    expect(t.link).toBe('display')
    expect(t.element).toBeUndefined()
    expect(Math.abs(t.measured - 0.02)).toBeLessThan(0.002)
    expect(said(await checkFile(files, smoke, rendered))).toEqual([])
  })
})

describe('the list', () => {
  it('is sorted by weight; what is meant stays quiet until its place changes', async () => {
    const faulty = scaled(scaled(card, 'light.plateWhite', 2.5), 'light.plateBlack', 6)
    const first = await check(files, faulty)
    expect(first.tells.length).toBeGreaterThan(1)
    const weights = first.tells.map((t) => t.weight)
    expect(weights).toEqual([...weights].sort((a, b) => b - a))
    const worst = first.tells[0] as Tell
    const marked = markMeant(faulty, { tell: worst.tell, element: 'card', measured: worst.measured })
    const second = await check(files, marked)
    const last = second.tells.at(-1)
    expect([last?.tell, last?.meant]).toEqual([worst.tell, true])
    expect(second.tells.filter((t) => t.meant)).toHaveLength(1)
    const point = { blacks: 'Black', middle: 'Middle', whites: 'White' }[worst.tell] ?? 'White'
    const changed = scaled(marked, `light.plate${point}`, 1.4)
    expect((await check(files, changed)).tells.filter((t) => t.meant)).toEqual([])
  })
})
