/** The anchor of an element: the place by which one sees whether it stays where it was put. */
import { areaScale, placed, standsAt } from '../../chain/place/raster/map.js'
import type { Shown } from '../../chain/shutter/cadence/loop.js'
import { shownPictures } from '../../chain/shutter/cadence/model.js'
import { EMPTY, intersect, type Region } from '../../core/index.js'
import { natureShares } from '../../shot/index.js'
import type { ShotElement } from '../../shot/schema.js'
import { strengthOf } from '../../shot/strength.js'
import type { Place } from '../../vision/index.js'
import { cadenceOf } from '../cadence.js'
import type { Picture, Plan } from '../plan.js'
import { bendOf } from '../plateSettings.js'
import { standingOf } from '../stand.js'

export interface Anchor {
  readonly element: ShotElement
  /** Whether the document says where it touches the ground; else its middle stands for that. */
  readonly foot: boolean
  /** Where the chain puts it in the plate as it was filmed, px; undefined where the element does not show. */
  readonly at: (frame: number) => Place | undefined
  /** Which of its own pixels the chain draws at a place of the plate; NaN for none. Undefined where it does not show. */
  readonly ownAt: (frame: number) => ((x: number, y: number) => Place) | undefined
  /** Which of the element's pictures show. */
  readonly shown: (frame: number) => Shown | undefined
  /** Longer side of its picture on a frame, plate px. */
  readonly size: (frame: number) => number
  /** Width of its picture about the anchor on a frame, plate px; 0 where it does not show. */
  readonly widthAt: (frame: number) => number
  /** Where it lies, as far as the frame shows it; nothing where it does not show. */
  readonly regionAt: (frame: number) => Region
}

export function anchorOf(element: ShotElement, picture: Picture, plan: Plan): Anchor {
  const stand = standingOf(element, picture, plan)
  const lens = bendOf(plan, strengthOf(element, 'lens'))
  const cadence = cadenceOf(element, picture, plan.plate, plan.shot)
  const shown = (frame: number) => shownPictures(cadence, frame)
  const { width, height } = picture
  const drawn = (frame: number, x: number, y: number): Place | undefined => {
    const map = shown(frame) && stand(frame)?.map
    if (map === undefined) return undefined
    const [u, v] = placed(map, x, y)
    const [a, b] = lens === undefined ? [u, v] : lens.drawn(u, v)
    return Number.isFinite(a) && Number.isFinite(b) ? [a, b] : undefined
  }
  const [fx, fy] = element.foot ?? [width / 2, height / 2]
  return {
    element,
    foot: element.foot !== undefined,
    at: (frame) => drawn(frame, fx, fy),
    ownAt: (frame) => {
      const map = shown(frame) && stand(frame)?.map
      if (map === undefined) return undefined
      const own = standsAt(map)
      return lens === undefined ? own : (x, y) => own(...lens.straight(x, y))
    },
    shown,
    size: (frame) => {
      const map = stand(frame)?.map
      return map === undefined ? 0 : Math.max(width, height) * Math.sqrt(areaScale(map, width, height))
    },
    widthAt: (frame) => {
      const [l, r] = [drawn(frame, fx - width / 4, fy), drawn(frame, fx + width / 4, fy)]
      return l === undefined || r === undefined ? 0 : 2 * Math.sqrt((r[0] - l[0]) ** 2 + (r[1] - l[1]) ** 2)
    },
    regionAt: (frame) => {
      const corners = [
        [0, 0],
        [width, 0],
        [width, height],
        [0, height],
      ].flatMap(([x, y]) => {
        const p = drawn(frame, x as number, y as number)
        return p === undefined ? [] : [p]
      })
      if (corners.length === 0) return EMPTY
      const [xs, ys] = [corners.map((c) => c[0]), corners.map((c) => c[1])]
      const [x, y] = [Math.floor(Math.min(...xs)), Math.floor(Math.min(...ys))]
      const box = { x, y, width: Math.ceil(Math.max(...xs)) - x, height: Math.ceil(Math.max(...ys)) - y }
      return intersect(box, { x: 0, y: 0, width: plan.plate.width, height: plan.plate.height })
    },
  }
}

/** Side of the frame that a picture with no place of its own fills: rain, dust on the lens, a haze over all. */
const FILLS = 0.9
/** Fewer frames show no course. */
const SHORT = 6

/** Why nothing can be said of how it stays with the plate; undefined where something can. */
export function noAnchor(a: Anchor, frames: readonly number[], plate: Picture): string | undefined {
  const { element: e } = a
  if (frames.length < SHORT) return 'it shows on too few frames'
  if (e.follow?.hold !== undefined)
    return 'it takes a place on its first frame only, and is not to go with it'
  if (a.foot) return e.drift === undefined ? undefined : 'it moves through the air by itself'
  if (e.drift !== undefined) return 'it moves through the air by itself, and no foot of it is known'
  const airborne = natureShares(e.nature).absorbs > 0.5
  if (airborne && (e.follow !== undefined || (e.keys?.length ?? 0) > 0))
    return 'smoke and dust have no place of their own; say where it comes from (`foot`)'
  const middle = a.regionAt(frames[frames.length >> 1] as number)
  if (middle.width >= FILLS * plate.width && middle.height >= FILLS * plate.height)
    return 'it fills the frame'
  return undefined
}
