import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { crc32 } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { parseShot } from '../../src/shot/index.js'
import { makeBreakwater, prepare } from './breakwater.js'
import { discRadius, transmittance } from './camera.js'
import { bt709, bt709Back } from './curves.js'
import { cleanDocument } from './document.js'
import { effectAt, smokeCard } from './effect/in-scene.js'
import { planckRgb } from './effect/planck.js'
import type { SmokeLight } from './effect/smoke-look.js'
import { runFire } from './fluid/fire.js'
import { runSmoke } from './fluid/smoke.js'
import { Flow } from './fluid/solver.js'
import { newLayers } from './scene/base.js'
import { airlight } from './scene/sky.js'
import { makeSetting, plateUnits } from './setting.js'
import { combine } from './tasks.js'

const tiny = { width: 160, height: 90, frames: 2, samples: 2, fluid: 0.125, threads: 1 }
const root = mkdtempSync(join(tmpdir(), 'platefit-breakwater-'))
const folder = (name: string) => join(root, name)

function files(dir: string, under = ''): string[] {
  return readdirSync(join(dir, under), { withFileTypes: true })
    .flatMap((e) => (e.isDirectory() ? files(dir, join(under, e.name)) : [join(under, e.name)]))
    .sort()
}

const sums = (dir: string) => files(dir).map((f) => `${f} ${crc32(readFileSync(join(dir, f)))}`)

beforeAll(async () => {
  await makeBreakwater(folder('a'), 3, tiny)
  await makeBreakwater(folder('b'), 3, tiny)
  await makeBreakwater(folder('c'), 4, tiny)
})
afterAll(() => rmSync(root, { recursive: true, force: true }))

describe('files', () => {
  it('are the same bytes for the same seed', () => {
    expect(sums(folder('b'))).toEqual(sums(folder('a')))
  })

  it('differ between seeds', () => {
    const other = sums(folder('c'))
    const same = sums(folder('a')).filter((s) => other.includes(s))
    expect(same).toEqual([])
  })

  it('hold every document in the shape that the program reads', () => {
    const read = (name: string) => JSON.parse(readFileSync(join(folder('a'), name), 'utf8'))
    const artist = read('breakwater.shot.json')
    for (const doc of [artist, read('true.shot.json'), read('clean.true.shot.json'), cleanDocument(artist)]) {
      expect(parseShot(doc, 'world').elements.map((e) => e.id)).toEqual(['smoke', 'fire'])
    }
  })
})

describe('truth', () => {
  const s = makeSetting(3, tiny)
  const n = s.width * s.height
  const smoke = runSmoke({ size: 64, seed: 3, lean: s.smoke.lean, records: 60, lead: 30 })
  const fire = runFire({ size: 32, seed: 3, records: 40, lead: 10 })
  const ready = prepare(s, smoke, fire)
  const effect = effectAt(ready, 0)
  const layers = newLayers(s)
  layers.far.fill(0.4)
  const none = new Float32Array(3 * n)

  it('is the plate wherever there is no effect', () => {
    const { plate, truth } = combine(s, layers, none, effect)
    let outside = 0
    for (let i = 0; i < n; i++) {
      if (effect.through[i] < 1 || effect.fire[3 * i] > 0) continue
      outside++
      expect(truth[3 * i]).toBe(plate[3 * i])
    }
    expect(outside).toBeGreaterThan(n / 3)
    expect(outside).toBeLessThan(n)
  })

  it('gives black smoke the air’s light alone, A·(1 − t) by its cover (Koschmieder)', () => {
    const t = transmittance(s, s.smoke.distanceM)
    expect(t).toBeCloseTo(Math.exp((-Math.log(50) * s.smoke.distanceM) / s.visibilityM), 12)
    const dark: SmokeLight = { above: [0, 0, 0], side: [0, 0, 0], front: [0, 0, 0], from: -1 }
    const black = effectAt({ ...ready, light: dark }, 0)
    const card = smokeCard(s)
    const air = new Float64Array(3)
    airlight(s, (card.left + card.widthM / 2) / card.distanceM, 1, air)
    let covered = 0
    for (let i = 0; i < n; i++) {
      const cover = 1 - black.through[i]
      if (cover < 0.01) continue
      covered++
      for (let c = 0; c < 3; c++) expect(black.smoke[3 * i + c] / cover).toBeCloseTo(air[c] * (1 - t), 4)
    }
    expect(covered).toBeGreaterThan(100)
  })

  it('keeps the flame’s light through lens and pixel', () => {
    // Sum over the picture × a pixel's area at that distance = intensity / transmittance, if all of it is in view.
    const area = (s.fire.distanceM / s.focalPx) ** 2
    let sum = 0
    for (let i = 0; i < n; i++) sum += effect.fire[3 * i]
    const lamps = effect.lamps.reduce((v, l) => v + l.rgb[0], 0)
    expect((sum * area) / transmittance(s, s.fire.distanceM) / lamps).toBeGreaterThan(0.95)
    expect((sum * area) / transmittance(s, s.fire.distanceM) / lamps).toBeLessThan(1.05)
  })
})

describe('camera and curves', () => {
  it('puts 94 cd/m² on 0.18 at f/4, ISO 100, 1/48 s (ISO 2720, K = 12.5)', () => {
    const s = makeSetting(1)
    expect(plateUnits(s, (12.5 * 16) / ((1 / 48) * 100))).toBeCloseTo(0.18, 12)
  })

  it('blurs as a thin lens does', () => {
    // 50 mm, f/4, focused at 20 m, at infinity: f²/(N·s) = 0.03125 mm across, in 1280 pixels of 24.9 mm.
    const s = makeSetting(1)
    expect(2 * discRadius(s, 1e9)).toBeCloseTo((0.03125 / 24.9) * 1280, 5)
  })

  it('codes 18 % by BT.709 (0.4088481 with exact constants: culori)', () => {
    expect(bt709(0.18)).toBeCloseTo(0.4088481, 6)
    expect(bt709Back(bt709(0.3))).toBeCloseTo(0.3, 12)
  })

  it('colours 1900 K as 1 : 0.2326 (tables of the 2° observer, through linear BT.709)', () => {
    const [r, g] = planckRgb(1900)
    expect(Math.abs(g / r - 0.2326)).toBeLessThan(0.012)
  })
})

describe('flow', () => {
  it('is free of sources after projection', () => {
    const flow = new Flow(64, 64)
    for (let y = 0; y < 64; y++) {
      for (let x = 0; x < 64; x++) {
        flow.u[y * 64 + x] = Math.sin((2 * Math.PI * 3 * x) / 64)
        flow.v[y * 64 + x] = Math.cos((2 * Math.PI * 2 * x) / 64)
      }
    }
    flow.project()
    // The first part is a pure gradient and goes; the second is free of sources already and stays.
    for (let i = 0; i < 64 * 64; i += 7) {
      expect(flow.u[i]).toBeCloseTo(0, 4)
      expect(flow.v[i]).toBeCloseTo(Math.cos((2 * Math.PI * 2 * (i % 64)) / 64), 2)
    }
  })
})
