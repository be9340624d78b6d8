/**
 * The plate's own texture about an anchor, and far and wide, followed over spans of the shot. Every span finds its places anew and compares each of
 * its frames with its first one: it shares nothing with the tracks of the document but the library.
 */
import { fitMotion } from '../../chain/place/motion/fit/fit.js'
import { affine, similarity } from '../../chain/place/motion/fit/models.js'
import { pairsOf } from '../../chain/place/motion/fit/pairs.js'
import { type Ground, type Span, withBetween } from '../../chain/place/slide/model.js'
import { affineOf, corners, followBoth, type Grey, type Place, type Vision } from '../../vision/index.js'
import type { Luma } from '../track/luma.js'
import { through } from '../track/matrix.js'

/** Half the side of the square in which places are found: so much of the element's size, within these bounds, px at 1920 of width. */
const ABOUT = { share: 0.75, least: 48, most: 200 }
/** Room around it for the way of a span. */
const ROOM = 0.1
const CORNERS = { most: 60, distance: 7, quality: 0.02 }
const WIDE = { most: 120, distance: 10, quality: 0.02 }
const LOOK = { window: 21, levels: 3 }
/** The way there and back closes, px. */
const CLOSES = 0.4
const LENGTH = 12
/** What is there must look as it did, and have this contrast (standard deviation, of 255): noise and a codec's own pattern are no texture. */
const ALIKE = 0.6
const CONTRAST = 2.5
/** Places that a ground must have; share of those that were found at first that must be there still. */
const LEAST = 8
const LEFT = 0.4
/** Of the places there are, share that a ground has, and that all grounds have together: else they go their own ways, as water does. */
const GROUP = 0.15
const TOGETHER = 0.5
/** A place goes with a motion within that, px. */
const AGREES = 0.7
const GROUPS = 3
/** From so many places on a ground near by needs no other that speaks for the anchor. */
const FIRM = 12
/** From so many places on a ground may shear. */
const SHEARS = 15
/** How far beside the anchor its growth is looked at, px. */
const ARM = 40
/** After a frame without texture it is looked for again so many frames later. */
const LATER = 4

/** Places of a picture, or of a part of it, that are followed from a first frame on. */
interface Field {
  /** Where its first edge lies in the plate, px, and plate pixels to one of its own. */
  readonly x: number
  readonly y: number
  readonly unit: number
  readonly first: Grey
  readonly from: readonly Place[]
  /** By frame, those that are still seen; all on the first. */
  readonly at: (Place | undefined)[][]
}

interface Open {
  readonly frames: number[]
  /** Where the chain put the anchor. */
  readonly anchors: Place[]
  readonly near: Field
  /** The whole plate, small, frame by frame; and its places, where those near by may not do. */
  readonly smalls: Grey[]
  readonly factor: number
  readonly wide: Field | undefined
}

/** A frame of the plate, and the same small. */
export interface Frame {
  readonly number: number
  readonly luma: Luma
  readonly small: Grey
  readonly factor: number
}

export class GroundWatch {
  readonly spans: Span[] = []
  readonly #vision: Vision
  /** Whether its foot is known: then it stands on what lies there, and else it may stand anywhere before or behind that. */
  readonly #foot: boolean
  /** Whether it is left in the frame: then the whole plate says whether that moves. Beside a track that would be too rough: lenses bend. */
  readonly #left: boolean
  #open: Open | undefined
  #last: { frame: Frame; anchor: Place; size: number } | undefined
  #wait = 0

  constructor(vision: Vision, { foot, left }: { readonly foot: boolean; readonly left: boolean }) {
    this.#vision = vision
    this.#foot = foot
    this.#left = left
  }

  /** @param anchor undefined where the element does not show @param size of the element, px */
  next(frame: Frame, anchor: Place | undefined, size: number): void {
    if (anchor === undefined) {
      this.end()
      this.#last = undefined
      return
    }
    if (this.#open !== undefined && !this.#follow(frame, anchor)) {
      this.end()
      const l = this.#last
      if (l !== undefined) this.#begin(l.frame, l.anchor, l.size)
      if (this.#open !== undefined && !this.#follow(frame, anchor)) this.#open = undefined
    }
    if (this.#open !== undefined && this.#open.frames.length > LENGTH) this.end()
    if (this.#open === undefined && --this.#wait < 0) this.#begin(frame, anchor, size)
    this.#last = { frame, anchor, size }
  }

  end(): void {
    const open = this.#open
    this.#open = undefined
    this.#wait = 0
    if (open === undefined || open.frames.length < 2) return
    const near = groundsOf(this.#vision, open.near, open, TOGETHER)
    const firm = near.filter((g) => g.places >= FIRM)
    // Where what lies near by is enough, nobody looks far and wide: that costs most.
    const wide = this.#foot && firm.length > 0 ? [] : groundsOf(this.#vision, this.#wideOf(open), open, 0)
    const all = this.#foot && firm.length > 0 ? firm : [...near, ...wide]
    const grounds = this.#foot && near.length > 0 ? all : withBetween(all)
    if (near.length > 0 || (this.#left && wide.length > 0)) this.spans.push({ frames: open.frames, grounds })
  }

  #begin({ number, luma, small, factor }: Frame, anchor: Place, size: number): void {
    this.#open = undefined
    this.#wait = LATER
    const unit = Math.max(1, luma.width / 1920)
    const half = Math.min(Math.max(ABOUT.share * size, ABOUT.least * unit), ABOUT.most * unit)
    const inner = boxAbout(anchor, half, luma)
    const outer = boxAbout(anchor, half + ROOM * luma.width, luma)
    if (inner === undefined || outer === undefined) return
    const found = corners(this.#vision, cropped(luma, inner), CORNERS)
    const all = found.length < LEAST && this.#left ? corners(this.#vision, small, WIDE) : undefined
    if (found.length < LEAST && !(all !== undefined && all.length >= LEAST)) return
    const from = found.map(([x, y]): Place => [x + inner.x - outer.x, y + inner.y - outer.y])
    const near = { x: outer.x, y: outer.y, unit: 1, first: cropped(luma, outer), from, at: [from] }
    const wide = all && wideField(small, factor, all)
    this.#open = { frames: [number], anchors: [anchor], near, smalls: [small], factor, wide }
  }

  /** False where too little is left of the places near by. */
  #follow({ number, luma, small }: Frame, anchor: Place): boolean {
    const { near, wide, smalls, frames, anchors } = this.#open as Open
    const { x, y, first, from } = near
    const here = cropped(luma, { x, y, width: first.width, height: first.height })
    const now = followed(this.#vision, near, here)
    const far = wide && followed(this.#vision, wide, small)
    const [judged, seen] = wide === undefined || far === undefined ? [from, now] : [wide.from, far]
    const left = seen.filter((p) => p !== undefined).length
    if (left < LEAST || left < LEFT * judged.length) return false
    frames.push(number)
    anchors.push(anchor)
    near.at.push(now)
    smalls.push(small)
    if (far !== undefined) wide?.at.push(far)
    return true
  }

  /** Followed now, where it was not on the way. */
  #wideOf({ wide, smalls, factor }: Open): Field {
    if (wide !== undefined) return wide
    const [first, ...rest] = smalls as [Grey, ...Grey[]]
    const field = wideField(first, factor, corners(this.#vision, first, WIDE))
    for (const small of rest) field.at.push(followed(this.#vision, field, small))
    return field
  }
}

function wideField(first: Grey, unit: number, from: readonly Place[]): Field {
  return { x: 0, y: 0, unit, first, from, at: [[...from]] }
}

function followed(vision: Vision, { first, from, at }: Field, here: Grey): (Place | undefined)[] {
  const before = at.at(-1) as (Place | undefined)[]
  const alive = before.flatMap((p, i) => (p === undefined ? [] : [i]))
  const starts = alive.map((i) => before[i] as Place)
  const froms = alive.map((i) => from[i] as Place)
  const now: (Place | undefined)[] = from.map(() => undefined)
  followBoth(vision, first, here, froms, starts, LOOK).forEach(({ back, at: [u, v] }, k) => {
    const within = u > 2 && v > 2 && u < first.width - 2 && v < first.height - 2
    if (back <= CLOSES && within && textured(first, froms[k] as Place, here, [u, v]))
      now[alive[k] as number] = [u, v]
  })
  return now
}

/** Places that move together from the first frame to the last, the largest group first. @param least share that all groups must have */
function groundsOf(vision: Vision, field: Field, open: Open, least: number): (Ground & { places: number })[] {
  const ends = field.at.at(-1) as (Place | undefined)[]
  const all = ends.flatMap((p, i) => (p === undefined ? [] : [i]))
  let [rest, together] = [all, 0]
  const groups: number[][] = []
  for (let g = 0; g < GROUPS && rest.length >= LEAST; g++) {
    const fit = affineOf(
      vision,
      rest.map((i) => field.from[i] as Place),
      rest.map((i) => ends[i] as Place),
      AGREES,
    )
    const group = rest.filter((_, k) => fit?.agree[k])
    if (group.length < Math.max(LEAST, GROUP * all.length)) break
    groups.push(group)
    together += group.length
    rest = rest.filter((i) => !group.includes(i))
  }
  return together < least * all.length ? [] : groups.flatMap((g) => groundOf(g, field, open) ?? [])
}

function groundOf(group: readonly number[], field: Field, { anchors, frames }: Open) {
  const { x, y, unit, from, at } = field
  const [ax, ay] = anchors[0] as Place
  const own: Place = [(ax - x) / unit, (ay - y) / unit]
  const off: Place[] = [[0, 0]]
  const way: Place[] = [[0, 0]]
  const growth = [1]
  let [variance, slopes] = [0, 0]
  for (let k = 1; k < frames.length; k++) {
    const pairs = group.map((i) => [from[i] as Place, at[k]?.[i] as Place, 1] as const)
    const fit = fitMotion(group.length < SHEARS ? similarity : affine, pairsOf(pairs))
    if (fit === undefined) return undefined
    const [u, v] = through(fit.matrix, own)
    const [gx, gy] = [x + unit * u, y + unit * v]
    const [bx, by] = anchors[k] as Place
    off.push([bx - gx, by - gy])
    way.push([gx - ax, gy - ay])
    // The way of two places beside each other tells how it grows across.
    const [[r], [l]] = [
      through(fit.matrix, [own[0] + ARM, own[1]]),
      through(fit.matrix, [own[0] - ARM, own[1]]),
    ]
    growth.push((r - l) / (2 * ARM))
    const noise = fit.chi2 / Math.max(fit.degrees, 1)
    slopes += (noise * fit.varianceAt(own[0] + ARM, own[1])) / (2 * ARM * ARM)
    variance += unit * unit * noise * fit.varianceAt(...own)
  }
  const mean = (sum: number) => Math.sqrt(sum / (frames.length - 1))
  return { off, way, spread: mean(variance), growth, growthSd: mean(slopes), places: group.length }
}

/** Whether two places are the same texture; to whole pixels, which costs little of the likeness of what is coarser. */
function textured(a: Grey, p: Place, b: Grey, q: Place): boolean {
  const half = LOOK.window >> 1
  const [px, py, qx, qy] = [...p, ...q].map(Math.floor) as [number, number, number, number]
  let [n, su, sv, uu, uv, vv] = [0, 0, 0, 0, 0, 0]
  for (let y = -half; y <= half; y++) {
    for (let x = -half; x <= half; x++) {
      if (Math.min(py + y, qy + y, px + x, qx + x) < 0) continue
      if (Math.max(py + y, qy + y) >= a.height || Math.max(px + x, qx + x) >= a.width) continue
      const u = a.data[(py + y) * a.width + px + x] as number
      const v = b.data[(qy + y) * b.width + qx + x] as number
      n++
      su += u
      sv += v
      uu += u * u
      uv += u * v
      vv += v * v
    }
  }
  const [eu, ev] = [uu / n - (su / n) ** 2, vv / n - (sv / n) ** 2]
  return Math.min(eu, ev) > CONTRAST * CONTRAST && uv / n - (su * sv) / (n * n) > ALIKE * Math.sqrt(eu * ev)
}

interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** Whole pixels within the picture; undefined where next to nothing of it is. */
function boxAbout([ax, ay]: Place, half: number, { width, height }: Luma): Box | undefined {
  const [x, y] = [Math.max(0, Math.round(ax - half)), Math.max(0, Math.round(ay - half))]
  const box = {
    x,
    y,
    width: Math.min(width, Math.round(ax + half)) - x,
    height: Math.min(height, Math.round(ay + half)) - y,
  }
  return box.width > 2 * LOOK.window && box.height > 2 * LOOK.window ? box : undefined
}

export function cropped({ width: stride, data, step }: Luma, { x, y, width, height }: Box): Grey {
  const out = new Uint8Array(width * height)
  for (let j = 0; j < height; j++) {
    const row = (y + j) * stride + x
    for (let i = 0; i < width; i++) {
      const v = (data[row + i] as number) / step + 0.5
      out[j * width + i] = Math.min(v, 255)
    }
  }
  return { width, height, data: out }
}
