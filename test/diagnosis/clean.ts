/** Forty files without a fault, of varied content: dark, bright, foggy, flat, saturated; cameras, codecs, HDR, log, elements. */
import { join } from 'node:path'
import { type Coding, goodCamera, type Recording, record } from './camera.js'
import type { Case } from './cases.js'
import { Chance } from './chance.js'
import { coloured, straight } from './elements.js'
import { daylight, HEIGHT, type Look, type Picture, Scene, WIDTH } from './paint.js'
import { type Tags, writeExr, writeMovie, writePng, writePngs } from './write.js'

const eight: Coding = { bits: 8, range: 'limited', matrix: 'bt709', subY: true }
const ten: Coding = { ...eight, bits: 10, subY: false }
const plain: Tags = { range: 'limited', matrix: 'bt709', curve: 'bt709' }
const x264 = (crf: number) => ({ encoder: 'libx264', options: { crf, preset: 'veryfast' } })
const prores = { encoder: 'prores_ks', options: { profile: 'hq' } }

interface Plate {
  readonly look: Partial<Look>
  readonly camera?: Partial<Recording>
  readonly coding?: Coding
  readonly tags?: Partial<Tags>
  readonly lossy?: Parameters<typeof writeMovie>[1]['lossy']
  /** Where the camera's pan is at each frame; steady when absent. */
  readonly pans?: (i: number) => number
  readonly exposure?: (i: number) => number
}

const dark: Partial<Look> = { dark: 0.002, light: 0.06, sky: 0, lamps: 0.002, lampLevel: 0.8 }
const bright: Partial<Look> = { dark: 0.2, light: 0.85, sky: 0.95, shadows: 0.003, signs: 0 }
const foggy: Partial<Look> = { fog: 0.7, shadows: 0, lamps: 0, signs: 0, sky: 0.6 }
const flat: Partial<Look> = { texture: 0.05, movers: 2, shadows: 0.01 }
const shake = (i: number) => i + 0.9 * Math.sin(i * 2.1) + 0.7 * Math.sin(i * 0.9 + 1)

const plates: Record<string, Plate> = {
  day: { look: {} },
  'day-ten': { look: { seed: 302 }, coding: ten },
  'day-x264': { look: { seed: 303 }, lossy: x264(18) },
  'day-x264-26': { look: { seed: 304 }, lossy: x264(26) },
  'day-prores': { look: { seed: 305 }, coding: ten, lossy: prores },
  'day-full': { look: { seed: 306 }, coding: { ...eight, range: 'full' }, tags: { range: 'full' } },
  'day-601': {
    look: { seed: 307, signs: 0.01 },
    coding: { ...eight, matrix: 'bt601' },
    tags: { matrix: 'bt601' },
  },
  'day-slow': { look: { seed: 308, pan: 0.2, movers: 1 } },
  'day-fast': { look: { seed: 309, pan: 6 } },
  'day-handheld': { look: { seed: 310 }, pans: shake },
  'day-locked': { look: { seed: 311, pan: 0, movers: 0 } },
  'day-locked-walk': { look: { seed: 312, pan: 0, movers: 2 }, lossy: x264(20) },
  'day-brakes': { look: { seed: 313 }, pans: (i) => 8 * Math.tanh(i / 8) },
  dark: { look: { ...dark, seed: 314 } },
  'dark-noisy': { look: { ...dark, seed: 315 }, camera: { shot: 4e-4, read: 4e-3 } },
  'dark-ten': { look: { ...dark, seed: 316, signs: 0.01 }, coding: ten },
  'dark-x264': { look: { ...dark, seed: 317 }, lossy: x264(20) },
  bright: { look: { ...bright, seed: 318 } },
  'bright-full': {
    look: { ...bright, seed: 319 },
    coding: { ...eight, range: 'full' },
    tags: { range: 'full' },
  },
  'bright-superwhite': { look: { ...bright, seed: 320, lamps: 0.002 }, camera: { full: 1.2 } },
  fog: { look: { ...foggy, seed: 321 } },
  'fog-thin': { look: { ...foggy, seed: 322, fog: 0.3 } },
  'fog-ten': { look: { ...foggy, seed: 323, fog: 0.5 }, coding: ten, camera: { shot: 2e-4 } },
  'fog-full': {
    look: { ...foggy, seed: 324, fog: 0.4 },
    coding: { ...eight, range: 'full' },
    tags: { range: 'full' },
  },
  'fog-noisy': { look: { ...foggy, seed: 325, fog: 0.35 }, camera: { shot: 4e-4, read: 2e-3 } },
  'fog-x264': { look: { ...foggy, seed: 326, fog: 0.6 }, lossy: x264(21) },
  flat: { look: { ...flat, seed: 327 }, camera: { shot: 0, read: 0 } },
  'flat-x264': { look: { ...flat, seed: 328 }, camera: { shot: 0, read: 0 }, lossy: x264(18) },
  neon: { look: { ...dark, seed: 329, signs: 0.05 } },
  'neon-2020': {
    look: { seed: 330, signs: 0.03 },
    coding: { ...ten, matrix: 'bt2020' },
    tags: { matrix: 'bt2020', curve: 'pq' },
    camera: { curve: 'pq', full: 8 },
  },
  hlg: {
    look: { seed: 331 },
    coding: { ...ten, matrix: 'bt2020' },
    tags: { matrix: 'bt2020', curve: 'hlg' },
    camera: { curve: 'hlg', full: 4 },
  },
  'muzzle-flash': { look: { ...dark, seed: 332 }, exposure: (i) => (i === 9 ? 6 : 1) },
}

function plate(name: string, p: Plate): Case {
  return {
    name: `clean-${name}`,
    make: (folder) => {
      const scene = new Scene({ ...daylight, ...p.look })
      const frames = Array.from({ length: 16 }, (_, i) => scene.at(i, p.exposure?.(i) ?? 1, p.pans?.(i)))
      return writeMovie(folder, {
        name: `clean-${name}`,
        frames,
        camera: { ...goodCamera, ...p.camera },
        coding: p.coding ?? eight,
        tags: { ...plain, ...p.tags },
        seed: 300,
        ...(p.lossy === undefined ? {} : { lossy: p.lossy }),
      })
    },
  }
}

const body = { edge: 14, core: 0.2, mottle: 0.12, colour: [0.7, 0.55, 0.45] as const }

const elements: Case[] = [
  {
    name: 'clean-element-png',
    make: (folder) =>
      writePngs(
        folder,
        'clean-element-png',
        [0, 1, 2].map((time) => straight({ ...body, seed: 341, time })),
        4,
        8,
      ),
  },
  {
    name: 'clean-element-png-16',
    make: (folder) =>
      writePng(
        join(folder, 'clean-element-png-16.png'),
        straight({ ...body, seed: 342, time: 0, edge: 30 }),
        4,
        16,
      ),
  },
  {
    name: 'clean-element-dark',
    make: (folder) =>
      writePng(
        join(folder, 'clean-element-dark.png'),
        straight({ ...body, seed: 343, time: 0, colour: [0.2, 0.18, 0.16] }),
        4,
        8,
      ),
  },
  {
    name: 'clean-element-exr',
    make: (folder) =>
      writeExr(
        join(folder, 'clean-element-exr.exr'),
        coloured(straight({ ...body, seed: 344, time: 0, edge: 24 }), (c, a) => c ** 2.2 * a),
      ),
  },
  {
    name: 'clean-element-exr-bright',
    make: (folder) =>
      writeExr(
        join(folder, 'clean-element-exr-bright.exr'),
        coloured(straight({ ...body, seed: 345, time: 0 }), (c, a) => 6 * c ** 2.2 * a),
      ),
  },
  { name: 'clean-still-16', make: (folder) => still(folder, 'clean-still-16', daylight, 16) },
  {
    name: 'clean-still-8',
    make: (folder) => still(folder, 'clean-still-8', { ...daylight, seed: 347, ...foggy }, 8),
  },
  {
    name: 'clean-on-black',
    make: (folder) => {
      const frames = Array.from({ length: 16 }, (_, i): Picture => {
        const rgba = straight({ ...body, seed: 348, time: i, colour: [0.9, 0.5, 0.2], edge: 20 })
        const out = new Float32Array(3 * WIDTH * HEIGHT)
        for (let p = 0; p < WIDTH * HEIGHT; p++)
          for (let c = 0; c < 3; c++) out[3 * p + c] = rgba[4 * p + c] ** 2.2 * rgba[4 * p + 3]
        return out
      })
      return writeMovie(folder, {
        name: 'clean-on-black',
        frames,
        camera: { ...goodCamera, read: 1e-4 },
        coding: eight,
        tags: plain,
        seed: 348,
      })
    },
  },
]

function still(folder: string, name: string, look: Look, bits: 8 | 16): Promise<string> {
  const codes = record(new Scene(look).at(0), { ...goodCamera, curve: 'srgb' }, new Chance(look.seed))
  return writePng(join(folder, `${name}.png`), codes, 3, bits)
}

export const clean: readonly Case[] = [
  ...Object.entries(plates).map(([name, p]) => plate(name, p)),
  ...elements,
]
