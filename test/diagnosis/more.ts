/** Further faults, each in three strengths: banding, HLG under another tag, fields told and untold, rates changed by blending. */
import { type Coding, goodCamera, record, yuv } from './camera.js'
import { by, type Case, STRENGTHS, type Strength } from './cases.js'
import { Chance } from './chance.js'
import { daylight, HEIGHT, type Look, type Picture, Scene, WIDTH } from './paint.js'
import { type MovieJob, writeMovie, writePlanes } from './write.js'

const eight: Coding = { bits: 8, range: 'limited', matrix: 'bt709', subY: true }
const ten: Coding = { ...eight, bits: 10, subY: false }
const plain = { range: 'limited', matrix: 'bt709', curve: 'bt709' } as const

const frames = (n: number) => Array.from({ length: n }, (_, i) => i)

/** Strength: how coarse the steps are. Grey gradients of a sky and fog, cleaned of noise and stretched in grading. */
function bands(s: Strength): Case[] {
  const look: Look = {
    ...daylight,
    seed: 400 + s,
    texture: 0.25,
    sky: 0,
    fog: 0.2,
    shadows: 0,
    lamps: 0,
    movers: 2,
  }
  const step = by(s, 2, 3, 5) / 219
  const make = (name: string, coding: Coding, lossy?: MovieJob['lossy']): Case => ({
    name,
    fault: {
      code: 'diagnose.banding',
      says: /gradients go up in steps/,
      also: ['diagnose.bits', 'diagnose.blends'],
    },
    make: (folder) => {
      const scene = new Scene(look)
      const planes = frames(10).map((t) => {
        const light = sunset(scene.at(t), t)
        const shares = record(light, { ...goodCamera, shot: 0, read: 0 }, new Chance(s))
        return yuv(
          shares.map((v) => Math.round(v / step) * step),
          coding,
        )
      })
      const job = { name, coding, tags: plain, seed: s, ...(lossy === undefined ? {} : { lossy }) }
      return writePlanes(folder, job, planes)
    },
  })
  return [
    make(`bands-8-${s}`, eight),
    make(`bands-10-${s}`, ten, { encoder: 'prores_ks', options: { profile: 'hq' } }),
  ]
}

/** A wide smooth glow over the upper part, that drifts. */
function sunset(p: Picture, time: number): Picture {
  const out = p.slice()
  for (let y = 0; y < HEIGHT * 0.6; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const r = Math.hypot((x - 120 - 0.4 * time) / 260, (y - 100) / 150)
      for (let c = 0; c < 3; c++)
        out[(y * WIDTH + x) * 3 + c] = [0.55, 0.42, 0.36][c] * Math.exp(-1.6 * r * r) + 0.04
    }
  }
  return out
}

/** Strength: stops above white, and noise. */
function hlg(s: Strength): Case[] {
  const name = `curve-hlg-tagged-bt709-${s}`
  return [
    {
      name,
      fault: { code: 'diagnose.curve', says: /as under HLG/, also: ['diagnose.clipped'] },
      make: (folder) =>
        writeMovie(folder, {
          name,
          frames: frames(12).map((t) =>
            new Scene({
              ...daylight,
              seed: 420 + s,
              dark: by(s, 0.05, 0.03, 0.02),
              light: by(s, 1.2, 1.6, 2.4),
              sky: by(s, 1.1, 1.8, 2.6),
              shadows: 0.004,
            }).at(t),
          ),
          camera: { curve: 'hlg', shot: by(s, 1.2e-4, 1.6e-4, 2.4e-4), read: 1e-3, full: 3.7 },
          coding: ten,
          tags: plain,
          seed: s,
        }),
    },
  ]
}

/** Strength: how fast the camera moves, in pixels a field. */
function fields(s: Strength): Case[] {
  const look: Look = { ...daylight, seed: 440 + s, pan: by(s, 0.8, 1.6, 3) }
  return [true, false].flatMap((told) =>
    (['top', 'bottom'] as const).slice(0, told ? 1 : 2).map((order): Case => {
      const name = `fields-${told ? 'flagged' : `unflagged-${order}`}-${s}`
      return {
        name,
        fault: {
          code: 'diagnose.fields',
          says: new RegExp(`interlaced, the ${order}`),
          also: ['diagnose.drops', 'diagnose.blends'],
        },
        make: (folder) => {
          const scene = new Scene(look)
          const woven = frames(14).map((f) => {
            const [first, second] = [scene.at(2 * f), scene.at(2 * f + 1)]
            return order === 'top' ? weave(first, second) : weave(second, first)
          })
          const job = {
            name,
            frames: woven,
            camera: goodCamera,
            coding: { ...eight, subY: false },
            tags: plain,
            seed: s,
          }
          return writeMovie(folder, { ...job, ...(told ? { interlaced: true } : {}), rate: 25 })
        },
      }
    }),
  )
}

function weave(top: Picture, bottom: Picture): Picture {
  const out = top.slice()
  for (let y = 1; y < HEIGHT; y += 2)
    out.set(bottom.subarray(3 * y * WIDTH, 3 * (y + 1) * WIDTH), 3 * y * WIDTH)
  return out
}

/** Strength: how fast the camera moves. The pictures that were mixed are not in the file. */
function rates(s: Strength): Case[] {
  const pan = by(s, 1.7, 2.9, 4.3)
  const pairs = [
    [24, 30],
    [30, 24],
    [60, 25],
  ] as const
  return pairs.map(([from, to], k): Case => {
    const name = `rate-${from}-blended-to-${to}-${s}`
    return {
      name,
      fault: {
        code: 'diagnose.blends',
        says: /its rate was changed by blending/,
        also: ['diagnose.drops', 'diagnose.repeats'],
      },
      make: (folder) => {
        const scene = new Scene({ ...daylight, seed: 460 + 10 * k + s, pan: (pan * 24) / from })
        const camera = goodCamera
        const chance = new Chance(k + s)
        const shots = new Map<number, Float32Array>()
        const shot = (i: number) => {
          const known = shots.get(i) ?? record(scene.at(i), camera, chance)
          shots.set(i, known)
          return known
        }
        const planes = frames(40).map((f) => {
          const at = (f * from) / to
          const w = at - Math.floor(at)
          const [a, b] = [shot(Math.floor(at)), shot(Math.floor(at) + 1)]
          return yuv(w < 1e-9 ? a : a.map((v, i) => v * (1 - w) + b[i] * w), eight)
        })
        return writePlanes(folder, { name, coding: eight, tags: plain, seed: s, rate: to }, planes)
      },
    }
  })
}

export const more: readonly Case[] = STRENGTHS.flatMap((s) => [
  ...bands(s),
  ...hlg(s),
  ...fields(s),
  ...rates(s),
])
