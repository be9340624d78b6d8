/** Faults of time: frames repeated, lost, woven and mixed, in three strengths. */
import { goodCamera, record, yuv } from './camera.js'
import { by, type Case, type Strength } from './cases.js'
import { Chance } from './chance.js'
import { daylight, HEIGHT, type Look, type Picture, WIDTH } from './paint.js'
import { eight, LENGTH, plain, shots, steady } from './shots.js'
import { writeMovie, writePlanes } from './write.js'

/** Strength: how many frames, how fast. */
export function cadences(s: Strength): Case[] {
  const look = (k: number): Look => ({ ...daylight, seed: 180 + 10 * k + s, pan: by(s, 1.6, 2.4, 3.6) })
  const movie =
    (kind: string, frames: Picture[], k: number, rate = 24) =>
    (folder: string) =>
      writeMovie(folder, {
        name: `cadence-${kind}-${s}`,
        frames,
        camera: goodCamera,
        coding: eight,
        tags: plain,
        seed: k + s,
        rate,
      })
  const fault = (code: string, says: RegExp, also: readonly string[] = []) => ({
    code: `diagnose.${code}`,
    says,
    also,
  })
  const repeated = by(s, [9], [5, 12], [4, 8, 13, 16])
  const dropped = by(s, [9], [6, 13], [4, 9, 14])
  const mixed = by(s, [9], [6, 12], [4, 9, 14])
  return [
    {
      name: `cadence-exact-repeats-${s}`,
      fault: fault('repeats', /repeats? the one before exactly/, ['diagnose.drops']),
      make: (folder) => {
        const chance = new Chance(s)
        const planes: Buffer[] = []
        for (const p of shots(look(0), steady())) planes.push(yuv(record(p, goodCamera, chance), eight))
        for (const r of repeated) planes[r] = planes[r - 1]
        return writePlanes(
          folder,
          { name: `cadence-exact-repeats-${s}`, coding: eight, tags: plain, seed: s },
          planes,
        )
      },
    },
    {
      name: `cadence-near-repeats-${s}`,
      fault: fault('repeats', /repeats? the one before (but for noise|exactly or nearly)/, [
        'diagnose.drops',
      ]),
      make: (folder) => {
        const times = steady().map((t) => (repeated.includes(t) ? t - 1 : t))
        return movie('near-repeats', shots(look(1), times), 1)(folder)
      },
    },
    {
      name: `cadence-drops-${s}`,
      fault: fault('drops', /were left out before/),
      make: (folder) => {
        const times = steady(LENGTH + dropped.length).filter((t) => !dropped.includes(t))
        return movie('drops', shots(look(2), times), 2)(folder)
      },
    },
    {
      name: `cadence-24-in-30-${s}`,
      fault: fault('repeats', /^Every fifth frame repeats/, ['diagnose.drops']),
      make: (folder) => {
        const times = steady(25).map((i) => Math.floor((i * 4) / 5))
        return movie('24-in-30', shots(look(3), times), 3, 30)(folder)
      },
    },
    {
      name: `cadence-pulldown-${s}`,
      fault: fault('combs', /^Two frames in every five .* pulled down 2:3/, [
        'diagnose.repeats',
        'diagnose.drops',
        'diagnose.blends',
      ]),
      make: (folder) => {
        const film = shots(look(4), steady(20))
        const frames = steady(25).map((i) => {
          const [top, bottom] = [
            [0, 0],
            [1, 1],
            [1, 2],
            [2, 3],
            [3, 3],
          ][i % 5]
          const base = Math.floor(i / 5) * 4
          return woven(film[base + top], film[base + bottom])
        })
        return movie('pulldown', frames, 4, 30)(folder)
      },
    },
    {
      name: `cadence-blends-${s}`,
      fault: fault('blends', /mixtures? of the one before and the one after/, [
        'diagnose.drops',
        'diagnose.repeats',
      ]),
      make: (folder) => {
        const frames = shots(look(5), steady())
        for (const m of mixed) {
          const w = by(s, 0.5, 0.4, 0.5)
          frames[m] = frames[m].map((_, i) => frames[m - 1][i] * (1 - w) + frames[m + 1][i] * w)
        }
        return movie('blends', frames, 5)(folder)
      },
    },
  ]
}

function woven(top: Picture, bottom: Picture): Picture {
  const out = top.slice()
  for (let y = 1; y < HEIGHT; y += 2)
    out.set(bottom.subarray(3 * y * WIDTH, 3 * (y + 1) * WIDTH), 3 * y * WIDTH)
  return out
}
