/** Links that are weakened or off, in whole frames: off is as if nothing had been found for that link. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeScene, type Scene } from '../../test/bench/scene.js'
import type { NativeFrame } from '../core/index.js'
import type { Shot, ShotElement, WeakLink } from '../shot/index.js'
import { loadShot } from './document.js'
import { FrameMaker } from './frame.js'
import { frameInputs } from './inputs.js'
import { makePlan } from './plan.js'
import { elementSettings } from './settings.js'
import { closeShot, openShot } from './sources.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-links-'))
let scene: Scene
let shot: Shot

beforeAll(async () => {
  scene = await makeScene(folder, { width: 320, height: 180 }, 0.5, 2)
  shot = (await loadShot(scene.shot)).shot
}, 60_000)
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const element = (change: (e: ShotElement) => ShotElement, of = shot): Shot => ({
  ...of,
  elements: of.elements.map(change),
})
const linked = (links: ShotElement['links'], of = shot) =>
  element((e) => ({ ...e, ...(links && { links }) }), of)
const without = (link: WeakLink) =>
  element((e) => {
    const left = Object.entries(e.treatments).filter(([name]) => !name.startsWith(`${link}.`))
    return { ...e, treatments: Object.fromEntries(left) }
  })
/** Without the plate's own bend or grain as well. */
const plateWithout = (of: Shot, link: WeakLink): Shot => {
  const left = Object.entries(of.plate.treatments).filter(([name]) => !name.startsWith(`${link}.`))
  return { ...of, plate: { ...of.plate, treatments: Object.fromEntries(left) } }
}

async function made(of: Shot, grain = true): Promise<NativeFrame> {
  const sources = await openShot(of, folder)
  try {
    const maker = new FrameMaker(makePlan(of, sources, { format: 'exr-half', grain }))
    for await (const input of frameInputs(of, sources, [1])) return maker.make(input).frame
  } finally {
    await closeShot(sources)
  }
  throw new Error('no frame')
}

const samples = (f: NativeFrame) => f.planes.map((p) => Array.from(p.data as Float32Array))
const distance = (a: NativeFrame, b: NativeFrame) => {
  const other = samples(b)
  return samples(a).reduce(
    (all, p, c) => p.reduce((sum, v, i) => sum + Math.abs(v - (other[c]?.[i] ?? 0)), all),
    0,
  )
}

async function settingsOf(of: Shot) {
  const sources = await openShot(of, folder)
  const plan = makePlan(of, sources, { format: 'exr-half' })
  await closeShot(sources)
  const [e] = of.elements
  return elementSettings(
    e as ShotElement,
    plan.elements[(e as ShotElement).id] as (typeof plan)['plate'],
    plan,
  )
}

describe('a link that is off', () => {
  it.each(['light', 'air', 'lens'] as const)(
    'gives the samples of a document without its treatments: %s',
    async (link) => {
      const off = await made(linked({ [link]: { off: true } }), false)
      const none = await made(link === 'lens' ? plateWithout(without(link), link) : without(link), false)
      expect(samples(off)).toEqual(samples(none))
      expect(samples(await made(linked({ [link]: { strength: 0 } }), false))).toEqual(samples(off))
      expect(distance(off, await made(shot, false))).toBeGreaterThan(1)
    },
  )

  it('leaves an emitter its own exposure and colour', async () => {
    const lit = {
      'light.exposure': { value: [2], evidence: { kind: 'set' as const } },
      'light.temperature': { value: [1850], evidence: { kind: 'set' as const } },
      'light.elementTemperature': { value: [2900], evidence: { kind: 'set' as const } },
    }
    const fire = element((e) => ({ ...e, nature: 'emits', treatments: { ...e.treatments, ...lit } }))
    const off = await settingsOf(linked({ light: { off: true } }, fire))
    expect(off.emissionGain).toEqual([1, 1, 1])
    expect((await settingsOf(fire)).emissionGain).not.toEqual([1, 1, 1])
  })

  it('adds no grain', async () => {
    const off = await made(linked({ sensor: { off: true } }))
    const none = await made(shot, false)
    expect(distance(await made(shot), none)).toBeGreaterThan(1)
    // What rounding leaves of a variance that is all there.
    expect(distance(off, none)).toBeLessThan(1e-3 * distance(await made(shot), none))
  })

  it('leaves the file as it is, floor and clipped core', async () => {
    const black = element((e) => ({
      ...e,
      alpha: 'on-black',
      treatments: {
        ...e.treatments,
        'source.floor': { value: [0.02, 0.02, 0.02], evidence: { kind: 'set' } },
        'source.ceiling': { value: [0.4], evidence: { kind: 'set' } },
      },
    }))
    expect(await settingsOf(black)).toMatchObject({ floor: [0.02, 0.02, 0.02], ceiling: { level: 0.4 } })
    expect(await settingsOf(linked({ source: { off: true } }, black))).toMatchObject({
      floor: [0, 0, 0],
      ceiling: undefined,
    })
  })
})

describe('a link in part', () => {
  it('at full strength is what it is without a word', async () => {
    const full = { strength: 1 }
    const all = linked({ light: full, air: full, lens: full, sensor: full })
    expect(samples(await made(all))).toEqual(samples(await made(shot)))
  })

  it('goes half the way where its steps are even', async () => {
    const fire = element((e) => ({
      ...e,
      nature: 'emits',
      treatments: {
        ...e.treatments,
        'light.exposure': { value: [2], evidence: { kind: 'set' } },
        'light.temperature': { value: [2000], evidence: { kind: 'set' } },
        'light.elementTemperature': { value: [2000], evidence: { kind: 'set' } },
        'light.cast': { value: [0.8], evidence: { kind: 'set' } },
      },
    }))
    const half = { strength: 0.5 }
    const s = await settingsOf(linked({ light: half, air: half, lens: half, sensor: half }, fire))
    // One stop of two; the same air over half the way: the root of 0.9, 0.89, 0.87.
    for (const v of s.emissionGain) expect(v).toBeCloseTo(2, 6)
    s.transmittance.forEach((v, c) => {
      expect(v).toBeCloseTo(Math.sqrt([0.9, 0.89, 0.87][c] as number), 6)
    })
    expect(s.blurRadius).toBe(3)
    expect(s.castFactor).toBeCloseTo(0.4, 9)
    expect(s.match?.to.white).toEqual([0.55, 0.55, 0.56])
    expect(s.sensorShare).toBe(0.5)
    // A corner of the picture moves half as far.
    const all = await settingsOf(fire)
    const moved = (bend: typeof s.bend) => (bend?.drawn(0, 0)[0] ?? 0) - 0
    expect(moved(s.bend)).toBeCloseTo(moved(all.bend) / 2, 2)
  })

  it('tops up its share of the variance', async () => {
    const none = await made(shot, false)
    const spread = async (of: Shot) => {
      const [, green = []] = samples(await made(of))
      const [, bare = []] = samples(none)
      return green.reduce((sum, v, i) => sum + (v - (bare[i] as number)) ** 2, 0)
    }
    const [all, half] = [await spread(shot), await spread(linked({ sensor: { strength: 0.5 } }))]
    expect(half / all).toBeCloseTo(0.5, 2)
  })
})
