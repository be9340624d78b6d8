/** The check of how long what moves is smeared in the finished file, against the plate's own shutter. */
import { type Comparison, cannotTell } from '../chain/compare.js'
import { areaScale, type PlaceMap, placed } from '../chain/place/raster/map.js'
import { shownPictures } from '../chain/shutter/cadence/model.js'
import { topUpAngle } from '../chain/shutter/ownMotion/model.js'
import {
  compareStreaks,
  type PlateShutter,
  SLOWEST,
  type StreakLook,
} from '../chain/shutter/streaks/compare.js'
import { measureStreaks } from '../chain/shutter/streaks/measure.js'
import {
  type ColourEncoding,
  EMPTY,
  type Evidence,
  intersect,
  isEmpty,
  type NativeFrame,
  quantile,
  type Region,
  sorted,
  told,
} from '../core/index.js'
import { cropImage } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import type { Cache } from './cache/store.js'
import { cadenceOf } from './cadence.js'
import { type FrameInput, FrameMaker } from './frame.js'
import { frameInputs } from './inputs.js'
import { makePlan, type Picture, type Plan, type ShotSources, shotRange } from './plan.js'
import { linearFrame, type PlateSamples } from './samples.js'
import { toCode } from './seen.js'
import { framesAFrame } from './settings.js'
import { plateAngle } from './shutter/measure.js'
import { standingOf } from './stand.js'

/** Shutters that are tried, °. */
const TRIED = [0, 45, 90, 135, 180, 225, 270, 315, 360]
const OPEN = 360
/** Frames that are looked at, and how many at most it is chosen from. */
const LOOKS = 2
const MOST = 240
/** px a frame: what goes no further stands still. */
const STANDS = 0.5
/** Of the places in an element's own picture the share that goes slower than what counts as its speed. */
const MOSTLY = 0.9

interface Checked {
  readonly shot: Shot
  readonly sources: ShotSources
  readonly rendered: Source
}

export interface Streaked {
  readonly element: string
  readonly comparison: Comparison
}

/** Nothing of elements that stand still, in the plate and in their own pictures. */
export async function checkStreaks(
  checked: Checked,
  plan: Plan,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<Streaked[]> {
  const seen: { readonly id: string; readonly looks: readonly StreakLook[] }[] = []
  const unknown: Streaked[] = []
  for (const e of checked.shot.elements) {
    const looks = await looksAt(e, checked, plan)
    if (looks.length > 0) seen.push({ id: e.id, looks })
    else if (mayMove(e, plan))
      unknown.push({ element: e.id, comparison: cannotTell('streak', 'shutter', UNKNOWN) })
  }
  const fast = seen.some(({ looks }) => looks.some((l) => l.speed >= SLOWEST))
  const plate = fast ? await plateShutter(checked, samples, cache) : SLOW
  const told = seen.map(({ id, looks }) => ({
    element: id,
    comparison: compareStreaks(id, looks, plate, plan.plate.width),
  }))
  return [...told, ...unknown]
}

const UNKNOWN =
  'whatever moves in its own pictures was smeared when it was filmed, and nothing says by how much (filmed.shutterAngleDeg)'

/** In its own pictures, by a shutter that nobody has named. */
function mayMove({ id, filmed, flash }: ShotElement, { elements }: Plan): boolean {
  return filmed?.shutterAngleDeg === undefined && flash === undefined && (elements[id]?.frameCount ?? 1) > 1
}

/** Nothing is compared with it. */
const SLOW: PlateShutter = { deg: 0, spread: 0, by: '', confidence: 0 }

/** What the camera says, else what the plate shows: an angle that is set by hand is what is being checked. */
async function plateShutter(
  { shot, sources }: Checked,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<PlateShutter | string> {
  const { shutterAngleDeg } = shot.camera
  if (shutterAngleDeg !== undefined)
    return { deg: shutterAngleDeg, spread: 0, by: 'as the camera was set', confidence: 0.8 }
  const found = await plateAngle(shot, sources, samples, cache)
  if (!told(found))
    return `nothing says how long the plate's shutter was open (camera.shutterAngleDeg), and the plate does not show it: ${found.cannotTell}`
  const { spread = 0 } = found.evidence as Extract<Evidence, { kind: 'measured' }>
  return { deg: found.value, spread, by: 'as its own streaks show', confidence: 0.6 }
}

async function looksAt(
  e: ShotElement,
  { shot, sources, rendered }: Checked,
  plan: Plan,
): Promise<StreakLook[]> {
  const picture = plan.elements[e.id]
  // Of a flash every row sees another part of the exposure.
  if (picture === undefined || e.flash !== undefined) return []
  const placing = placeSpeed(e, picture, plan)
  const picked = fastest(e, picture, plan, placing)
  if (picked.length === 0) return []
  const pace = framesAFrame(e, picture, plan.plate)
  const makers = TRIED.map((deg) => {
    const one = under(e, deg, pace, picture)
    return new FrameMaker(makePlan(withAngle(shot, deg, [one]), sources, LIGHT))
  })
  const widest = makers.at(-1) as FrameMaker
  const all = new FrameMaker(plan)
  const elements = shot.elements.map((x) => (x.id === e.id ? under(e, OPEN, pace, picture) : x))
  const looks: StreakLook[] = []
  for await (const input of frameInputs(withAngle(shot, OPEN, elements), sources, picked)) {
    const { number } = input
    const region = widest.places(input).get(e.id) ?? EMPTY
    if (isEmpty(region)) continue
    for await (const finished of rendered.frames(number, 1)) {
      const code = (frame: NativeFrame, encoding: ColourEncoding, part: Region) =>
        toCode(cropImage(linearFrame(frame, encoding), part), plan)
      const own = { x: 0, y: 0, width: region.width, height: region.height }
      const made = (maker: FrameMaker, of: FrameInput) =>
        code(maker.make(of, false, region).frame, plan.delivery.encoding, own)
      const read = measureStreaks({
        rendered: code(finished, rendered.info.encoding, region),
        base: made(widest, { ...input, elements: [] }),
        made: TRIED.map((deg, k) => ({ deg, picture: made(makers[k] as FrameMaker, input) })),
        taken: takenOf(
          region,
          [...all.places(input)].flatMap(([id, r]) => (id === e.id ? [] : [r])),
        ),
      })
      const speed = Math.max(placing(number), ownSpeed(input, e, picture, plan))
      looks.push({ frame: number, region, speed, read })
    }
  }
  return looks
}

/** Linear and without grain: what the chain makes, before any delivery. */
const LIGHT = { format: 'exr-half', grain: false } as const

function withAngle(shot: Shot, deg: number, elements: readonly ShotElement[]): Shot {
  const { 'shutter.angle': _, ...treatments } = shot.plate.treatments
  return {
    ...shot,
    camera: { ...shot.camera, shutterAngleDeg: deg },
    plate: { ...shot.plate, treatments },
    elements: [...elements],
  }
}

/** The element with the shutter done in full; what moves in it is blurred on to the angle where its own is known. */
function under(e: ShotElement, deg: number, pace: number, { frameCount }: Picture): ShotElement {
  const { shutter: _, ...links } = e.links ?? {}
  const own = e.filmed?.shutterAngleDeg
  if (own === undefined || frameCount < 2) return { ...e, links }
  const value = [topUpAngle(deg, own, pace)]
  const treatments = { ...e.treatments, 'shutter.topUp': { value, evidence: { kind: 'set' as const } } }
  return { ...e, links, treatments }
}

/** How far the places of a picture go in a frame's time about a frame, px: the furthest of its middle and its quarters. */
function placeSpeed(e: ShotElement, picture: Picture, plan: Plan): (frame: number) => number {
  const stand = standingOf(e, picture, plan)
  const { width, height } = picture
  const places = [
    [0.5, 0.5],
    [0.25, 0.25],
    [0.75, 0.25],
    [0.25, 0.75],
    [0.75, 0.75],
  ].map(([u, v]) => [(u as number) * width, (v as number) * height] as const)
  return (frame) => {
    const [before, after] = [stand(frame - 0.5)?.map, stand(frame + 0.5)?.map]
    if (before === undefined || after === undefined) return 0
    const far = places.map(([x, y]) => {
      const [a, b] = [placed(before, x, y), placed(after, x, y)]
      return Math.hypot(b[0] - a[0], b[1] - a[1])
    })
    return Math.max(0, ...far.filter(Number.isFinite))
  }
}

/** How far what moves in its own picture goes in a frame of the plate, plate px. */
function ownSpeed({ number, elements }: FrameInput, e: ShotElement, picture: Picture, plan: Plan): number {
  const goes = elements.find((x) => x.id === e.id)?.goes
  const map = standingOf(e, picture, plan)(number)?.map as PlaceMap
  if (goes === undefined) return 0
  const nodes = goes.columns * goes.rows
  const ways = Array.from({ length: nodes }, (_, n) =>
    Math.hypot(goes.ways[2 * nodes + n] as number, goes.ways[3 * nodes + n] as number),
  )
  const scale = Math.sqrt(areaScale(map, picture.width, picture.height))
  return scale * framesAFrame(e, picture, plan.plate) * quantile(sorted(ways), MOSTLY)
}

/** Frames on which it goes fastest, no two beside each other; where it moves in its own pictures alone, any; ascending. */
function fastest(e: ShotElement, picture: Picture, plan: Plan, speed: (frame: number) => number): number[] {
  const { count } = shotRange(plan.shot, plan.plate.frameCount)
  const cadence = cadenceOf(e, picture, plan.plate, plan.shot)
  const step = Math.ceil(count / MOST)
  const own = e.filmed?.shutterAngleDeg !== undefined && picture.frameCount > 1
  const shown = Array.from({ length: Math.ceil(count / step) }, (_, i) => i * step)
    .filter((n) => shownPictures(cadence, n) !== undefined)
    .map((frame) => ({ frame, speed: speed(frame) }))
  const going = shown.filter((s) => own || s.speed > STANDS).sort((a, b) => b.speed - a.speed)
  const picked: number[] = []
  for (const { frame } of going)
    if (picked.length < LOOKS && picked.every((n) => Math.abs(n - frame) > 1)) picked.push(frame)
  return picked.sort((a, b) => a - b)
}

function takenOf(region: Region, others: readonly Region[]): Uint8Array {
  const taken = new Uint8Array(region.width * region.height)
  for (const o of others) {
    const r = intersect(o, region)
    for (let y = r.y - region.y; y < r.y - region.y + r.height; y++) {
      const from = y * region.width + r.x - region.x
      taken.fill(1, from, from + r.width)
    }
  }
  return taken
}
