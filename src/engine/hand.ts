/**
 * What a hand on the picture means for the document. A hand works on the frame that is shown; the document says where an element
 * stands before keys, drift and track have done their part:
 *
 *   find p with f(p) = a        f  from the element's position to where its middle lies on this frame, without lens distortion
 *                               a  where the hand wants it, the same
 *
 * by Newton's steps from where it stands, slopes from neighbours half a pixel apart: f is a line's, a plane's or a mesh's motion and
 * as good as even over a pixel. The corner's place is brought back to the element's own pixels: its share of the way from the middle
 * to the corner is the factor on the scale.
 */
import { placed, standsAt } from '../chain/place/raster/map.js'
import { Problem } from '../core/index.js'
import type { Edit } from '../shot/command.js'
import type { ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import { type Spot, straightAt } from './places.js'
import type { Picture } from './plan.js'
import { waysOf } from './plateSettings.js'
import { scaleOf } from './settings.js'
import { type Ground, standingOf } from './stand.js'

/** What a hand wants on a frame; plate pixels as the picture shows them. */
export interface Hand {
  /** There its middle. */
  readonly anchor?: Spot | undefined
  /** There its bottom right corner, as far as a size alone brings it there. */
  readonly corner?: Spot | undefined
  /** Of the document, where no corner says it. */
  readonly scale?: number | undefined
}

type Place = Pick<Extract<Edit, { kind: 'place' }>, 'position' | 'scale'>

/** Least scale that a hand reaches; the document takes any above 0. */
const LEAST = 0.01
const MOST_STEPS = 12
/** px: below what the document keeps of a position. */
const NEAR = 1e-3
const DIGITS = { position: 1, scale: 4 }

/**
 * Position and scale for the document, as far as the hand asks for them.
 *
 * @throws Problem as `standingOf`; `place.out-of-reach` where no position brings it there
 */
export function placeByHand(
  e: ShotElement,
  picture: Picture,
  number: number,
  ground: Ground,
  hand: Hand,
): Place {
  const lens = waysOf(ground.shot, ground.plate, strengthOf(e, 'lens'))
  const moved = hand.anchor && positionFor(e, picture, number, ground, straightAt(hand.anchor, lens))
  const position = moved && { x: tidy(moved[0]), y: tidy(moved[1]) }
  const corner = hand.corner && straightAt(hand.corner, lens)
  const there = position === undefined ? e : { ...e, position }
  const before = scaleOf(e, picture, ground.shot, ground.plate.width)
  const scale = corner ? before * growth(there, picture, number, ground, corner) : hand.scale
  return {
    ...(position === undefined ? {} : { position }),
    ...(scale === undefined ? {} : { scale: tidy(Math.max(scale, LEAST), DIGITS.scale) }),
  }
}

function tidy(v: number, digits = DIGITS.position): number {
  return Number(v.toFixed(digits))
}

function positionFor(
  e: ShotElement,
  picture: Picture,
  number: number,
  ground: Ground,
  wanted: Spot | null,
): Spot {
  const { width, height } = picture
  const middle = (x: number, y: number): Spot => {
    const map = standingOf({ ...e, position: { x, y } }, picture, ground)(number)?.map
    return map === undefined ? [Number.NaN, Number.NaN] : placed(map, width / 2, height / 2)
  }
  let { x, y } = e.position
  for (let step = 0; wanted !== null && step < MOST_STEPS; step++) {
    const [u, v] = middle(x, y)
    const [dx, dy] = [wanted[0] - u, wanted[1] - v]
    if (Math.abs(dx) + Math.abs(dy) < NEAR) return [x, y]
    const [[u1, v1], [u0, v0]] = [middle(x + 0.5, y), middle(x - 0.5, y)]
    const [[u3, v3], [u2, v2]] = [middle(x, y + 0.5), middle(x, y - 0.5)]
    const [a, b, c, d] = [u1 - u0, u3 - u2, v1 - v0, v3 - v2]
    const area = a * d - b * c
    if (!(Math.abs(area) > 0)) break
    x += (dx * d - dy * b) / area
    y += (dy * a - dx * c) / area
  }
  throw new Problem({
    code: 'place.out-of-reach',
    what: `No position of "${e.id}" brings it there on this frame`,
    where: `elements.${e.id}`,
    remedy: 'Go to a frame on which it is seen, and move it there.',
  })
}

/** Factor on the size that brings the corner nearest to a place; 1 where that lies behind the camera. */
function growth(e: ShotElement, picture: Picture, number: number, ground: Ground, [x, y]: Spot): number {
  const map = standingOf(e, picture, ground)(number)?.map
  if (map === undefined) return 1
  const [u, v] = standsAt(map)(x, y)
  const [w, h] = [picture.width / 2, picture.height / 2]
  const share = ((u - w) * w + (v - h) * h) / (w * w + h * h)
  return Number.isFinite(share) ? Math.max(share, 1e-3) : 1
}
