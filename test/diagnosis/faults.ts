/** Files with a known fault, each in three strengths, over unlike scenes. */
import { join } from 'node:path'
import { cadences } from './cadences.js'
import { goodCamera, type Recording, record, yuv } from './camera.js'
import { by, type Case, STRENGTHS, type Strength } from './cases.js'
import { Chance } from './chance.js'
import { type Body, coloured, straight } from './elements.js'
import { more } from './more.js'
import { daylight } from './paint.js'
import { eight, plain, shots, steady, ten } from './shots.js'
import { writeExr, writeMovie, writePlanes, writePng, writePngs } from './write.js'

const LIMITED_IN_FULL = /full range.*, but its codes stop at (16|235) as limited data do/

/** Strength: how much of the picture reaches black and white. */
function ranges(s: Strength): Case[] {
  const look = {
    ...daylight,
    seed: 10 + s,
    shadows: by(s, 0.004, 0.012, 0.05),
    lamps: by(s, 0, 0.004, 0.02),
    sky: by(s, 0.7, 0.9, 0.98),
  }
  return [
    {
      name: `range-limited-tagged-full-${s}`,
      fault: { code: 'diagnose.range', says: LIMITED_IN_FULL, also: ['diagnose.curve'] },
      make: (folder) =>
        writeMovie(folder, {
          name: `range-limited-tagged-full-${s}`,
          frames: shots(look, steady()),
          camera: { ...goodCamera, read: 2e-4 },
          coding: eight,
          tags: { ...plain, range: 'full' },
          seed: s,
        }),
    },
    {
      name: `range-full-tagged-limited-${s}`,
      fault: {
        code: 'diagnose.range',
        says: /limited range.*, but .* lie below 16, down to/,
        also: ['diagnose.clipped'],
      },
      make: (folder) =>
        writeMovie(folder, {
          name: `range-full-tagged-limited-${s}`,
          frames: shots({ ...look, seed: 20 + s }, steady()),
          camera: goodCamera,
          coding: { ...(s === 2 ? ten : eight), range: 'full' },
          tags: plain,
          seed: s,
        }),
    },
    {
      name: `range-limited-rgb-${s}`,
      fault: { code: 'diagnose.range', says: LIMITED_IN_FULL, also: ['diagnose.curve'] },
      make: (folder) => {
        const chance = new Chance(s)
        const camera: Recording = { ...goodCamera, curve: 'srgb', read: 2e-4 }
        const pictures = shots({ ...look, seed: 30 + s }, steady(6)).map((p) =>
          record(p, camera, chance).map((v) => (16 + 219 * Math.min(Math.max(v, 0), 1)) / 255),
        )
        return writePngs(folder, `range-limited-rgb-${s}`, pictures, 3, 8)
      },
    },
  ]
}

/** Strength: share of saturated lights. */
function matrices(s: Strength): Case[] {
  const pairs = [
    ['bt601', 'bt709'],
    ['bt709', 'bt601'],
    ['bt2020', 'bt709'],
  ] as const
  return pairs.map(([made, tagged], k) => {
    const name = `matrix-${made}-tagged-${tagged}-${s}`
    return {
      name,
      fault: {
        code: 'diagnose.matrix',
        says: new RegExp(`keep within 0 to 1 only under ${made}`),
        also: ['diagnose.clipped'],
      },
      make: (folder) =>
        writeMovie(folder, {
          name,
          frames: shots(
            {
              ...daylight,
              seed: 40 + 10 * k + s,
              signs: by(s, 0.006, 0.02, 0.06),
              dark: 0.01,
              light: 0.4,
              sky: k === 1 ? 0 : 0.6,
            },
            steady(12),
          ),
          camera: goodCamera,
          coding: { ...(k === 2 ? ten : eight), matrix: made },
          tags: { ...plain, matrix: tagged },
          seed: s,
        }),
    }
  })
}

/** Strength: stops of the scene, and how much noise tells of the curve. */
function curves(s: Strength): Case[] {
  const look = {
    ...daylight,
    dark: by(s, 0.03, 0.02, 0.01),
    light: by(s, 0.5, 0.7, 0.9),
    lampLevel: 6,
    sky: by(s, 0, 0.9, 1.5),
    shadows: by(s, 0, 0.005, 0.01),
    texture: 0.55,
  }
  const camera = (curve: Recording['curve']): Recording => ({
    curve,
    shot: by(s, 1.2e-4, 1.5e-4, 2.5e-4),
    read: 1e-3,
    full: 8,
  })
  const logs = (['slog3', 'vlog', 'logc3', 'pq'] as const).map((curve, k): Case => {
    const name = `curve-${curve}-tagged-bt709-${s}`
    return {
      name,
      fault: {
        code: 'diagnose.curve',
        says: k === 3 ? /as under (a log or HDR curve|HLG or PQ)/ : /as under a log or HDR curve/,
        also: [],
      },
      make: (folder) =>
        writeMovie(folder, {
          name,
          frames: shots({ ...look, seed: 70 + 10 * k + s }, steady(12)),
          camera: camera(curve),
          // S-Log3 and V-Log codes are meant for the whole range of codes; video files carry them as 64 to 940 as well.
          coding: k === 1 ? { ...eight, range: 'full' } : ten,
          tags: { ...plain, range: k === 1 ? 'full' : 'limited' },
          seed: s,
        }),
    }
  })
  const name = `curve-video-tagged-pq-${s}`
  return [
    ...logs,
    {
      name,
      fault: { code: 'diagnose.curve', says: /^Tagged PQ, but/, also: ['diagnose.clipped'] },
      make: (folder) =>
        writeMovie(folder, {
          name,
          frames: shots(
            { ...daylight, seed: 110 + s, sky: by(s, 0.85, 0.95, 0.98), lamps: by(s, 0.004, 0.01, 0.02) },
            steady(12),
          ),
          camera: goodCamera,
          coding: { ...ten, matrix: 'bt2020' },
          tags: { range: 'limited', matrix: 'bt2020', curve: 'pq' },
          seed: s,
        }),
    },
  ]
}

/** Strength: how wide the soft edge is that tells of it. */
function alphas(s: Strength): Case[] {
  const body = (k: number, time: number): Body => ({
    seed: 120 + 10 * k + s,
    edge: by(s, 5, 14, 36),
    colour: [
      [0.75, 0.6, 0.5],
      [0.4, 0.5, 0.6],
      [0.78, 0.5, 0.2],
    ][(k + s) % 3] as [number, number, number],
    core: by(s, 0.1, 0.2, 0.15),
    mottle: 0.12,
    time,
  })
  const kinds: [string, RegExp, (c: number, a: number) => number][] = [
    ['premultiplied', /^Its alpha is premultiplied, where/, (c, a) => c * a],
    ['on-white', /multiplied by alpha over white/, (c, a) => c * a + 1 - a],
    ['double', /multiplied by alpha twice/, (c, a) => c * a * a],
  ]
  const pngs = kinds.map(([kind, says, f], k): Case => {
    const name = `alpha-${kind}-png-${s}`
    return {
      name,
      fault: { code: 'diagnose.alpha', says, also: ['diagnose.range', 'diagnose.border'] },
      make: (folder) => {
        const pictures = [0, 1, 2, 3].map((t) => coloured(straight(body(k, t)), f))
        return writePngs(folder, name, pictures, 4, s === 2 ? 16 : 8)
      },
    }
  })
  return [
    ...pngs,
    {
      name: `alpha-constant-png-${s}`,
      fault: {
        code: 'diagnose.alpha',
        says: by(s, /is 1 everywhere, yet it stands on black/, /is 0 everywhere/, /is 0\.50 everywhere/),
        also: [],
      },
      make: (folder) => {
        const rgba = coloured(straight(body(3, 0)), (c, a) => c * a)
        for (let i = 3; i < rgba.length; i += 4) rgba[i] = by(s, 1, 0, 0.5)
        return writePng(join(folder, `alpha-constant-png-${s}.png`), rgba, 4, 8)
      },
    },
    {
      name: `alpha-straight-exr-${s}`,
      fault: { code: 'diagnose.alpha', says: /^Its alpha is straight, where/, also: [] },
      make: (folder) => {
        const linear = coloured(straight(body(4, 0)), (c) => c ** 2.2 * by(s, 1, 1.5, 3))
        return writeExr(join(folder, `alpha-straight-exr-${s}.exr`), linear)
      },
    },
  ]
}

function depths(s: Strength): Case[] {
  const look = { ...daylight, seed: 250 + s }
  return [
    {
      name: `bits-8-in-10-${s}`,
      fault: { code: 'diagnose.bits', says: /^Only 8 of its 10/, also: [] },
      make: (folder) => {
        const chance = new Chance(s)
        const planes = shots({ ...look, pan: 2 }, steady(8)).map((p) => {
          const codes = yuv(record(p, goodCamera, chance), { ...eight, subY: false })
          const out = Buffer.alloc(codes.length * 2)
          codes.forEach((v, i) => {
            out.writeUInt16LE(v * 4, 2 * i)
          })
          return out
        })
        return writePlanes(folder, { name: `bits-8-in-10-${s}`, coding: ten, tags: plain, seed: s }, planes)
      },
    },
    {
      name: `bits-8-in-16-${s}`,
      fault: { code: 'diagnose.bits', says: /^Only 8 of its 16/, also: [] },
      make: (folder) => {
        const picture = record(
          shots({ ...look, seed: 260 + s }, [0])[0],
          { ...goodCamera, curve: 'srgb' },
          new Chance(s),
        )
        const coarse = picture.map((v) => Math.round(Math.min(Math.max(v, 0), 1) * 255) / 255)
        return writePng(join(folder, `bits-8-in-16-${s}.png`), coarse, 3, 16)
      },
    },
    {
      name: `blocks-${s}`,
      fault: {
        code: 'diagnose.blocks',
        says: /blocks show: steps on its 8×8/,
        // JFIF means BT.601; the container is told BT.709.
        also: ['diagnose.repeats', 'diagnose.drops', 'diagnose.blends', 'diagnose.tags'],
      },
      make: (folder) => {
        const q = by(s, 8, 14, 28)
        return writeMovie(folder, {
          name: `blocks-${s}`,
          frames: shots({ ...look, seed: 270 + s }, steady(8)),
          camera: { ...goodCamera, shot: 3e-4 },
          coding: { ...eight, range: 'full' },
          tags: { ...plain, range: 'full' },
          seed: s,
          lossy: { encoder: 'mjpeg', options: { qmin: q, qmax: q, b: '200M' } },
        })
      },
    },
  ]
}

export const faults: readonly Case[] = [
  ...STRENGTHS.flatMap((s) => [
    ...ranges(s),
    ...matrices(s),
    ...curves(s),
    ...alphas(s),
    ...cadences(s),
    ...depths(s),
  ]),
  ...more,
]
