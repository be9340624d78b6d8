/** A shape's points as they are seen on a frame of the plate, and back to where the document has them. */
import { comingFrom, goingWith } from '../../chain/place/shape/follow.js'
import { Problem } from '../../core/index.js'
import { drawnKeys } from '../../shot/carried.js'
import type { Edit } from '../../shot/command.js'
import type { Shot } from '../../shot/schema.js'
import type { Place } from '../../vision/index.js'
import { bendOf } from '../plateSettings.js'
import { lensOf } from '../track/lens.js'
import { type TracksFound, trackOf } from '../tracks.js'

type Shape = Shot['shapes'][number]

export interface View {
  /** From the document's places, those of the reference frame where the shape follows a track, to the frame as it was filmed. */
  readonly toFrame: (points: readonly Place[], frame: number) => Place[]
  /** @throws Problem `carry.no-way-back` */
  readonly toDocument: (points: readonly Place[], frame: number) => Place[]
}

/**
 * @param size of the plate, px
 * @throws Problem as `trackOf`
 */
export function viewOf(
  shot: Shot,
  shape: Shape,
  tracks: TracksFound,
  size: { readonly width: number; readonly height: number },
): View {
  const lens = lensOf(bendOf({ plate: size, shot }))
  const { follow } = shape
  if (follow === undefined) {
    return { toFrame: (points) => points.map(lens.filmed), toDocument: (points) => points.map(lens.straight) }
  }
  const track = trackOf(tracks, follow.track)
  const anchor = anchorOf(shape)
  const [there, back] = [goingWith(track, follow.take, anchor), comingFrom(track, follow.take, anchor)]
  return {
    toFrame: (points, frame) => {
      const go = there(frame)
      return points.map(([x, y]) => lens.filmed(go(x, y) as Place))
    },
    toDocument: (points, frame) => {
      const come = back(frame)
      return points.map((p) => {
        const place = come(...lens.straight(p))
        if (place !== undefined) return place
        throw new Problem({
          code: 'carry.no-way-back',
          what: `On frame ${frame} the track "${follow.track}" carries nothing to a point of the outline`,
          where: `shapes.${shape.id}`,
          received: p.map((v) => v.toFixed(1)).join(', '),
          remedy: 'Correct the track there, or let the shape follow none.',
        })
      })
    },
  }
}

/** Digits behind the point of what the document keeps of an outline. */
export const OUTLINE_DIGITS = 2

/** A key that a hand drew on a frame as it is seen there, as the document has it. @throws Problem as `viewOf` and its `toDocument` */
export function keyByHand(
  view: View,
  shape: string,
  frame: number,
  points: readonly Place[],
): Extract<Edit, { kind: 'shapeKey' }> {
  const round = (v: number) => Number(v.toFixed(OUTLINE_DIGITS))
  const kept = view.toDocument(points, frame).map(([x, y]): [number, number] => [round(x), round(y)])
  return { kind: 'shapeKey', shape, frame, points: kept }
}

/** About which a shape turns and grows that takes a part of its track's motion: the middle of the first key that a hand drew. */
export function anchorOf(shape: Shape): Place {
  const points = (drawnKeys(shape)[0] ?? shape.keys[0])?.points ?? []
  const middle = (c: 0 | 1) => points.reduce((sum, p) => sum + p[c], 0) / points.length
  return [middle(0), middle(1)]
}
