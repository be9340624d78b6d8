/**
 * The world `breakwater`: a mole at dusk running out into haze, smoke behind a fence, a fire in a drum beside a wall.
 * Writes the files that an artist would have, their noise-free twins, and the truth.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { join } from 'node:path'
import { chance, noise, normal } from './chance.js'
import { Crew } from './crew.js'
import { artistDocument, CARD_REFLECTANCE, cleanDocument, trueDocument } from './document.js'
import { elementFrames, fireFileSize } from './effect/files.js'
import { firePicture } from './effect/fire-look.js'
import { type Ready, smokeCard } from './effect/in-scene.js'
import { LEAF, type SmokeLight } from './effect/smoke-look.js'
import { Movie, writePng } from './files.js'
import type { Recording } from './fluid/record.js'
import { cardPicture, makePlaces } from './place.js'
import { type Layers, newLayers } from './scene/base.js'
import { Sky } from './scene/sky.js'
import { makeSetting, type Setting, type SettingOptions } from './setting.js'
import { findTruth } from './truth.js'

export interface WorldOptions extends SettingOptions {
  readonly threads?: number
  readonly onProgress?: (what: string, done: number, total: number) => void
}

export interface World {
  readonly name: 'breakwater'
  readonly folder: string
  readonly setting: Setting
  readonly seconds: number
}

/** Makes the whole world in `folder`. Same seed, same bytes. */
export async function makeBreakwater(
  folder: string,
  seed: number,
  options: WorldOptions = {},
): Promise<World> {
  const started = performance.now()
  const s = makeSetting(seed, options)
  const say = options.onProgress ?? (() => undefined)
  for (const f of ['clean/plate', 'clean/truth', 'clean/smoke', 'clean/fire', 'smoke']) {
    mkdirSync(join(folder, f), { recursive: true })
  }
  const crew = new Crew(s, options.threads ?? Math.min(4, availableParallelism()))
  try {
    const layers = newLayers(s)
    const records = (leaf: number) => elementFrames(s) + Math.ceil(leaf * 30) + 2
    const strips = 24
    const rows = Math.ceil(s.height / strips)
    let laid = 0
    const smokeJob = crew.run({ kind: 'smoke', records: records(LEAF) })
    const fireJob = crew.run({ kind: 'fire', records: records(0.6) })
    await Promise.all(
      Array.from({ length: strips }, async (_, k) => {
        const y0 = k * rows
        const y1 = Math.min(s.height, y0 + rows)
        if (y0 < y1) await crew.run({ kind: 'rows', y0, y1, layers })
        say('plate', ++laid, strips)
      }),
    )
    const ready = prepare(s, (await smokeJob) as Recording, (await fireJob) as Recording)
    writePng(join(folder, 'holdout.png'), s.width, s.height, 1, holdout(s, layers))
    await films(s, folder, crew, layers, ready, say)
    writeDocuments(s, folder, layers, ready)
  } finally {
    await crew.close()
  }
  return { name: 'breakwater', folder, setting: s, seconds: (performance.now() - started) / 1000 }
}

async function films(
  s: Setting,
  folder: string,
  crew: Crew,
  layers: Layers,
  ready: Ready,
  say: NonNullable<WorldOptions['onProgress']>,
): Promise<void> {
  const movie = {
    width: s.width,
    height: s.height,
    fps: 24,
    bits: 10,
    crf: 7,
    timecode: '01:00:00:00',
  } as const
  const plate = await Movie.open({ ...movie, path: join(folder, 'plate.mov'), sound: wind(s) })
  const truth = await Movie.open({ ...movie, path: join(folder, 'truth.mov') })
  const size = fireFileSize(s)
  const fire = await Movie.open({ ...size, path: join(folder, 'fire.mov'), fps: 30, bits: 8, crf: 14 })
  const count = elementFrames(s)
  const jobs = Array.from({ length: s.frames }, (_, frame) =>
    crew.run({ kind: 'frame', frame, layers, ready, folder }),
  )
  const flames = Array.from({ length: count }, (_, frame) =>
    crew.run({ kind: 'fireFile', frame, ready, folder }),
  )
  const smokes = Array.from({ length: count }, (_, frame) =>
    crew.run({ kind: 'smokeFile', frame, ready, folder }),
  )
  for (let k = 0; k < s.frames; k++) {
    const done = (await jobs[k]) as { plate: Uint8Array; truth: Uint8Array }
    await plate.write(Buffer.from(done.plate))
    await truth.write(Buffer.from(done.truth))
    say('frames', k + 1, s.frames)
  }
  await plate.finish()
  await truth.finish()
  for (let k = 0; k < count; k++) {
    await fire.write(Buffer.from(((await flames[k]) as { fire: Uint8Array }).fire))
    say('fire', k + 1, count)
  }
  await fire.finish()
  await Promise.all(smokes)
}

/** The light that the smoke stands in, and the level of the flame's body. */
export function prepare(s: Setting, smoke: Recording, fire: Recording): Ready {
  const sky = new Sky(s)
  const part = (x: number, y: number, z: number, k: number): number[] => {
    const out = new Float64Array(3)
    sky.irradiance(x, y, z, out)
    return [...out].map((v) => (k * v) / Math.PI)
  }
  const light: SmokeLight = {
    above: part(0, 1, 0, 0.75),
    side: part(-0.85, 0.2, 0.48, 0.5),
    front: part(0, 0.1, -0.99, 0.55),
    from: -1,
  }
  let squares = 0
  let all = 0
  const moments = 8
  for (let k = 0; k < moments; k++) {
    const p = firePicture(fire, ((k + 0.5) / moments) * (s.frames / 24), s.fire.temperature)
    for (let i = 0; i < p.w * p.h; i++) {
      const l = 0.2126 * p.rgb[3 * i] + 0.7152 * p.rgb[3 * i + 1] + 0.0722 * p.rgb[3 * i + 2]
      squares += l * l
      all += l
    }
  }
  return { s, smoke, fire, light, body: all > 0 ? squares / all : 1 }
}

/** The matte as an artist draws it: what stands before the smoke, half a pixel soft and a third of a pixel off. */
function holdout(s: Setting, layers: Layers): Uint8Array {
  const n = s.width * s.height
  const matte = new Float32Array(n)
  const card = smokeCard(s)
  const f = s.focalPx / card.distanceM
  const x0 = s.width / 2 + (card.left - 1) * f
  const x1 = s.width / 2 + (card.left + card.widthM + 1) * f
  for (let y = 0; y < s.height; y++) {
    for (let x = 0; x < s.width; x++) {
      const i = y * s.width + x
      matte[i] = layers.fenceShare[i] + (x > x0 && x < x1 ? layers.nearShare[i] : 0)
    }
  }
  const dx = 0.3 * (chance(s.seed, 500) < 0.5 ? -1 : 1)
  const out = new Uint8Array(n)
  for (let y = 0; y < s.height; y++) {
    for (let x = 0; x < s.width; x++) {
      const i = y * s.width + x
      const l = matte[x > 0 ? i - 1 : i]
      const r = matte[x < s.width - 1 ? i + 1 : i]
      const side = dx > 0 ? l : r
      const v = 0.92 * ((1 - Math.abs(dx)) * matte[i] + Math.abs(dx) * side) + 0.04 * (l + r)
      out[i] = 255 * Math.min(1, v) + 0.5
    }
  }
  return out
}

/** Wind over a microphone: filtered noise that swells. */
function wind(s: Setting): Int16Array {
  const n = Math.round((s.frames / 24) * 48000)
  const out = new Int16Array(n)
  let low = 0
  let lower = 0
  for (let i = 0; i < n; i++) {
    const w = normal(s.seed, i, 600)
    low += 0.03 * (w - low)
    lower += 0.004 * (w - lower)
    const swell = 0.6 + 0.4 * noise(i / 17000, s.seed, 0.5)
    out[i] = Math.max(-32000, Math.min(32000, 900 * swell * (2.2 * low + 5 * lower)))
  }
  return out
}

function writeDocuments(s: Setting, folder: string, layers: Layers, ready: Ready): void {
  const truth = findTruth(ready)
  let sum = 0
  let share = 0
  for (const v of layers.wall) {
    if (v > 0.02) {
      sum += v
      share++
    }
  }
  const wall = share > 0 ? sum / share : 0.2
  const write = (name: string, value: unknown) =>
    writeFileSync(join(folder, name), `${JSON.stringify(value, null, 2)}\n`)
  const card = cardPicture(s, CARD_REFLECTANCE)
  const codes = Uint16Array.from(card.rgb, (v) => 65535 * Math.min(1, Math.max(0, v)) + 0.5)
  writePng(join(folder, 'card.png'), card.width, card.height, 3, codes)
  const places = makePlaces(s, truth.smoke.middle)
  const artist = artistDocument(s, places)
  const exact = trueDocument(s, places, truth, wall)
  write('breakwater.shot.json', artist)
  write('true.shot.json', exact)
  write('clean.true.shot.json', cleanDocument(exact))
  write('true.json', { world: 'breakwater', setting: s, truth, wallReflectance: wall })
}
