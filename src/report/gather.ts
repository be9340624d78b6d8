/** Takes from the files the pictures that the page shows. */
import { intersect, isEmpty, type Region } from '../core/index.js'
import type { Tell } from '../engine/types.js'
import { cropSteps, ladder, type PictureSet } from './budget.js'
import { channel, detail, difference, shrink } from './pictures.js'
import { inside, type Sought, tellingPlace } from './place.js'
import type { Roll } from './roll.js'
import type { Look, Picture, Role } from './types.js'

/** What a crop's lift brings to which displayed value: a dark quarter to a light grey, or nearly all to just below white. */
const LIFT = { share: 0.25, to: 190 }
const KEEP = { share: 0.98, to: 250 }
/** On the fine detail that shows grain. */
const GRAIN_GAIN = 6
const WORST_CROP = { width: 106, height: 72 }
const CROP = { width: 72, height: 54 }
const LARGEST_BOOST = 4

export const DIFFERENCE_GAIN = 8
export const PUSH_STOPS = 2

const WIPE_WIDTH = 1920
const SMALL_WIDTH = 720

const BESIDE = ['plate', 'result'] as const

type Views = ReadonlyMap<Role, Picture>

/** Whole frames of every file that has this frame. */
export async function wholeFrames(
  roll: Roll,
  frame: number,
): Promise<{ looks: Map<Role, Look>; views: Views }> {
  const looks = new Map<Role, Look>()
  const views = new Map<Role, Picture>()
  for (const role of roll.roles) {
    if (!roll.has(role, frame)) continue
    const look = await roll.look(role, frame)
    looks.set(role, look)
    views.set(role, look.view({ x: 0, y: 0, width: look.width, height: look.height }))
  }
  return { looks, views }
}

/** Size of a picture of square pixels, no wider than `width`. */
function shownSize(p: Picture, width: number, pixelAspect: number) {
  const w = Math.min(width, p.width)
  return { width: w, height: Math.max(1, Math.round((w * p.height) / (p.width * pixelAspect))) }
}

function scaled(p: Picture, width: number, pixelAspect: number): Picture {
  const size = shownSize(p, width, pixelAspect)
  return shrink(p, size.width, Math.min(size.height, p.height))
}

export function wipeSet(views: Views, pixelAspect: number): PictureSet {
  const roles = [...views.keys()]
  const bases = roles.map((role) => scaled(views.get(role) as Picture, WIPE_WIDTH, pixelAspect))
  return {
    keys: roles.map((role) => `wipe:${role}`),
    steps: ladder(WIPE_WIDTH),
    make: (width) => bases.map((p) => scaled(p, width, 1)),
  }
}

/** Channels alone, pushed views and differences. */
export function smallSets(looks: ReadonlyMap<Role, Look>, views: Views, pixelAspect: number): PictureSet[] {
  const sets: PictureSet[] = []
  const add = (keys: string[], pictures: readonly Picture[]) =>
    sets.push({ keys, steps: ladder(SMALL_WIDTH), make: (width) => pictures.map((p) => scaled(p, width, 1)) })
  const bases = new Map([...views].map(([role, p]) => [role, scaled(p, SMALL_WIDTH, pixelAspect)]))
  const base = (role: Role) => bases.get(role) as Picture
  for (const [i, name] of (['r', 'g', 'b'] as const).entries()) {
    const keys = BESIDE.map((role) => `channel:${name}:${role}`)
    add(
      keys,
      BESIDE.map((role) => channel(base(role), i as 0 | 1 | 2)),
    )
  }
  for (const [name, stops] of [['up', PUSH_STOPS] as const, ['down', -PUSH_STOPS] as const]) {
    const pushed = BESIDE.map((role) => {
      const look = looks.get(role) as Look
      const view = look.view({ x: 0, y: 0, width: look.width, height: look.height }, { stops })
      return scaled(view, SMALL_WIDTH, pixelAspect)
    })
    add(
      BESIDE.map((role) => `push:${name}:${role}`),
      pushed,
    )
  }
  for (const [a, b] of differencePairs(views)) {
    add([`difference:${a}:${b}`], [difference(base(a), base(b), DIFFERENCE_GAIN)])
  }
  return sets
}

export function differencePairs(views: { has(role: Role): boolean }): [Role, Role][] {
  const pairs: [Role, Role][] = [['result', 'plate']]
  if (views.has('truth')) pairs.push(['result', 'truth'])
  if (views.has('truth') && views.has('plain')) pairs.push(['plain', 'truth'])
  return pairs
}

export interface CropShown {
  readonly frame: number
  /** How it was brought out, to stand behind its description; empty when it was not. */
  readonly note: string
  /** Pixels of the plate across the crop. */
  readonly width: number
  readonly roles: readonly Role[]
}

/** The crops of one tell beside each other, at one place of one frame. */
export function cropSet(
  tell: Tell,
  index: number,
  frame: number,
  looks: ReadonlyMap<Role, Look>,
  views: Views,
): { set: PictureSet; shown: CropShown } {
  const plate = looks.get('plate') as Look
  const size = index === 0 ? WORST_CROP : CROP
  const frameRegion = { x: 0, y: 0, width: plate.width, height: plate.height }
  const told = intersect(tell.region, frameRegion)
  const region = isEmpty(told) ? frameRegion : told
  const kind = kindOf(tell)
  const seen = (role: 'plate' | 'result', r: Region) => cut(views.get(role) as Picture, r)
  const asked = tellingPlace(
    seen('result', region),
    seen('plate', region),
    region,
    size.width,
    size.height,
    kind,
  )
  const place = inside(asked, plate.width, plate.height)
  const roles = (['plate', 'result', 'plain'] as const).filter((role) => looks.has(role))
  const both = [seen('plate', place), seen('result', place)]
  const boost = kind === 'flat' ? 1 : boostFor(both, kind === 'dark' ? LIFT : KEEP)
  const pictures = roles.map((role) => {
    const view = (looks.get(role) as Look).view(place, { blackBoost: boost })
    return kind === 'flat' ? detail(view, GRAIN_GAIN) : view
  })
  const note =
    kind === 'flat'
      ? `, light and shade taken off, the rest ×${GRAIN_GAIN}`
      : boost > 1
        ? `, blacks lifted ×${boost}`
        : ''
  return {
    set: {
      keys: roles.map((role) => `crop:${index}:${role}`),
      steps: cropSteps(place.width),
      make: () => pictures,
    },
    shown: { frame, note, width: place.width, roles },
  }
}

/** Grain is looked for where nothing is drawn; blacks and haze in the dark, whatever clips above. */
function kindOf({ tell }: Tell): Sought {
  if (tell.includes('grain')) return 'flat'
  return tell === 'blacks' || tell === 'haze' ? 'dark' : 'uneven'
}

/** Lift that brings the darkest `share` of the samples up to `to`, in halves, from 1 to 4; what is lighter may clip. */
function boostFor(pictures: readonly Picture[], { share, to }: { share: number; to: number }): number {
  const counts = new Uint32Array(256)
  let total = 0
  for (const p of pictures) {
    for (const v of p.rgb) counts[v] = (counts[v] as number) + 1
    total += p.rgb.length
  }
  let level = 0
  for (let seen = 0; level < 255; level++) {
    seen += counts[level] as number
    if (seen >= total * share) break
  }
  return Math.max(1, Math.min(LARGEST_BOOST, Math.floor((2 * to) / Math.max(1, level)) / 2))
}

function cut(p: Picture, r: { x: number; y: number; width: number; height: number }): Picture {
  const rgb = new Uint8Array(3 * r.width * r.height)
  for (let y = 0; y < r.height; y++) {
    const from = 3 * ((r.y + y) * p.width + r.x)
    rgb.set(p.rgb.subarray(from, from + 3 * r.width), 3 * y * r.width)
  }
  return { width: r.width, height: r.height, rgb }
}
