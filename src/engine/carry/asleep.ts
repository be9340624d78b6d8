/** Places that something hides: they go on with what is left, and wake where they look again as they did. */
import { type Place, search, type Vision } from '../../vision/index.js'
import type { Luma } from '../track/luma.js'
import { after, type Cut, cut, drawn, inverse, STILL, type Turn } from '../track/patch.js'
import type { Crop } from './inside.js'

export interface Asleep {
  /** Where it lay on the key; undefined of one that was found on the way. */
  readonly born: Place | undefined
  readonly at: Place
  readonly look: Cut
  /** Where in the look it lay. */
  readonly was: Place
  /** How it has turned and grown since. */
  readonly turn: Turn
}

/** Side of the look that is compared, px, and room to turn it. */
const SIDE = 15
const ROOM = 6
/** It is looked for so far around where it should be, px. */
const AROUND = 7
/** Correlation with which it wakes. */
const FOUND = 0.85

export function fallAsleep(luma: Luma, { born, at }: { born?: Place | undefined; at: Place }): Asleep {
  return { born, at, look: cut(luma, at, SIDE + 2 * ROOM), was: at, turn: STILL }
}

/** Carried on by a frame. */
export function dreamt(a: Asleep, to: Place, turn: Turn): Asleep {
  return { ...a, at: to, turn: after(a.turn, turn) }
}

/** Where it is seen again; undefined where it is not. */
export function woken(vision: Vision, { at, look, was, turn }: Asleep, crop: Crop): Place | undefined {
  const size = SIDE + 2 * AROUND
  const [x, y] = [Math.round(at[0] - size / 2) - crop.x, Math.round(at[1] - size / 2) - crop.y]
  const { width, height, data } = crop.grey
  if (x < 0 || y < 0 || x + size > width || y + size > height) return undefined
  const part = new Uint8Array(size * size)
  for (let j = 0; j < size; j++) {
    const from = (y + j) * width + x
    part.set(data.subarray(from, from + size), j * size)
  }
  const template = Uint8Array.from(drawn(look, was, inverse(turn), SIDE), (v) =>
    Math.min(255, Math.max(0, Math.round(v))),
  )
  const found = search(
    vision,
    { width: SIDE, height: SIDE, data: template },
    { width: size, height: size, data: part },
  )
  if (!(found.correlation >= FOUND)) return undefined
  return [crop.x + x + found.at[0] + SIDE / 2, crop.y + y + found.at[1] + SIDE / 2]
}
