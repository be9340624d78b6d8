/** A plate filmed from the hand, with its true motion, and what stands in it: files for the tells that show over a whole shot. */
import { createHash } from 'node:crypto'
import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseShot, type Shot } from '../../src/engine/index.js'
import { type Course, move } from '../tracking/moves.js'
import { at, type Motion, plateOf, type Shot as Take } from '../tracking/plate.js'
import { cobbles } from '../tracking/texture.js'
import { madeFrom } from '../trackKey.js'
import { clouds, normals } from './chance.js'
import { type Painted, writePictures, writePng } from './files.js'
import type { Files } from './shots.js'

export const SIZE = { width: 480, height: 272, frames: 40 } as const
export type Move = (frame: number) => Motion

export const HAND: Course = { pan: [1.3, 0.4], zoom: 1.05, roll: 1.5, unrest: 2.2 }

export interface Filmed extends Files {
  readonly motion: Move
}

/** The same for every plate: it is large. */
const ground = cobbles(4 * SIZE.width + 600, 4 * SIZE.height + 400)

/** Writes the plate; `more` may make it smaller and shorter. */
export async function film(root: string, course: Course, more: Partial<Take> = {}): Promise<Filmed> {
  const folder = mkdtempSync(join(root, 'moving-'))
  const { width, height, frames, surface } = { ...SIZE, surface: ground, ...more }
  const motion = move(width, height, frames, course)
  mkdirSync(join(folder, 'plate'))
  let n = 0
  for await (const frame of plateOf({
    width,
    height,
    frames,
    surface,
    motion,
    noise: 1.2,
    ...(more.before === undefined ? {} : { before: more.before }),
  }).frames()) {
    const codes = new Uint16Array(3 * width * height)
    const luma = frame.planes[0]?.data ?? []
    for (let p = 0; p < width * height; p++) codes.fill(257 * (luma[p] as number), 3 * p, 3 * p + 3)
    writePng(join(folder, 'plate', `plate.${String(n++).padStart(4, '0')}.png`), width, height, 3, codes)
  }
  return { folder, plate: 'plate', motion }
}

/** A track as a tracker would write it. */
export async function track(files: Filmed, id: string, motion: Move) {
  const { width, height, frames } = SIZE
  const data = {
    platefitTrack: 1,
    id,
    madeFrom: await madeFrom(shotOf([], { tracks: [{ id }] }), files.folder, id),
    plate: { width, height },
    reference: 0,
    motion: 'homography',
    why: 'the true one',
    frames: Array.from({ length: frames }, (_, frame) => ({
      frame,
      state: 'tracked',
      matrix: [...motion(frame)],
      spreadPx: 0.05,
      agree: 12,
      seen: 12,
    })),
    points: [],
    jumps: [],
    said: [],
  }
  const text = JSON.stringify(data)
  writeFileSync(join(files.folder, `${id}.json`), text)
  return { id, data: { file: `${id}.json`, sha256: createHash('sha256').update(text).digest('hex') } }
}

type Json = Record<string, unknown>

export function shotOf(elements: readonly Json[], more: Json = {}): Shot {
  return parseShot(
    { platefit: 1, plate: { file: 'plate', curve: 'srgb', rate: '24' }, elements, ...more },
    'test',
  )
}

export const CRATE = { width: 70, height: 60 }
/** Stands on the ground by the middle of its lower side. */
export const FOOT = [35, 58] as const

/** A board that stands still. */
export function crate(files: Files): Json {
  const { width, height } = CRATE
  const grain = normals(5)
  const light = Float32Array.from({ length: width * height }, () => 0.25 + 0.01 * grain())
  write(files, 'crate', 1, width, height, (x, y) => {
    const inside = Math.min(x - 3, y - 3, width - 4 - x, height - 2 - y)
    return [
      (light[y * width + x] as number) + (Math.floor(x / 9) % 2 ? 0.1 : 0),
      Math.min(Math.max(inside / 2, 0), 1),
    ]
  })
  return {
    ...{ id: 'crate', file: 'crate', curve: 'srgb', rate: '24', alpha: 'straight', nature: 'reflects' },
    ...{ position: { x: 240, y: 150 }, scale: 1, time: { hold: 'both' }, foot: FOOT },
  }
}

export const FLAME = { width: 64, height: 80 }

/** Tongues that rise: no two pictures are alike. @param first number of the picture that the file begins with */
export function flame(
  files: Files,
  id: string,
  { seed = 3, count = 40, first = 0, mirror = false, speed = 1, held = 1 } = {},
): Json {
  const { width, height } = FLAME
  const licks = clouds(seed, 13)
  write(files, id, count, width, height, (col, y, n) => {
    const x = mirror ? width - 1 - col : col
    const t = first + speed * (held * Math.floor(n / held))
    const lean = 14 * (licks(300 + 2 * t, y / 2) - 0.5)
    const d = Math.sqrt(((x - width / 2 - lean) / 20) ** 2 + ((y - 50) / 28) ** 2)
    const body = Math.max(1 - d, 0) * (0.3 + 1.4 * licks(x, y + 5 * t))
    return [Math.min(1.4 * body, 1), Math.min(2 * body, 1)]
  })
  return {
    ...{ id, file: id, curve: 'srgb', rate: '24', alpha: 'straight', nature: 'emits' },
    ...{ position: { x: 150, y: 150 }, scale: 1 },
  }
}

function write(
  files: Files,
  name: string,
  count: number,
  width: number,
  height: number,
  paint: (x: number, y: number, frame: number) => readonly [light: number, alpha: number],
): void {
  writePictures(join(files.folder, name), name, count, (n): Painted => {
    const data = new Float32Array(4 * width * height)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const [v, a] = paint(x, y, n)
        data.set([v, 0.9 * v, 0.8 * v, a], 4 * (y * width + x))
      }
    }
    return { width, height, channels: 4, data }
  })
}

/** Keys that put an element's middle where a motion carries it, by way of `bent`. */
export function keys(
  motion: Move,
  x: number,
  y: number,
  bent: (v: number, frame: number) => number = (v) => v,
) {
  return Array.from({ length: SIZE.frames }, (_, frame) => {
    const [u, v] = at(motion(frame), x, y)
    return { frame, dx: bent(u - x, frame), dy: bent(v - y, frame) }
  })
}
