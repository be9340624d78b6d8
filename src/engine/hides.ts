/** What stands before an element on a frame, from the document and the frame's pictures. */
import type { Hide } from '../chain/place/holdout/apply.js'
import { depthHide } from '../chain/place/holdout/depth.js'
import { luminanceHide } from '../chain/place/holdout/luminance.js'
import { matteHide } from '../chain/place/holdout/matte.js'
import { shapeCoverage } from '../chain/place/shape/cover.js'
import { goingWith } from '../chain/place/shape/follow.js'
import { type Carriage, type ShapeAt, shapeAt } from '../chain/place/shape/moments.js'
import { luminanceRow } from '../colour/index.js'
import type { NativeFrame, Region } from '../core/index.js'
import { type CurveTables, curved, unpack } from '../kernels/index.js'
import { hidesOn, shapesBefore } from '../shot/before.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { anchorOf } from './carry/seen.js'
import { shutterAngle } from './exposure.js'
import type { FrameInput } from './frame.js'
import type { Plan } from './plan.js'
import { bendOf } from './plateSettings.js'
import { trackOf } from './tracks.js'

/** @param decode the plate's code values to light */
export function hidesOf(id: string, input: FrameInput, plan: Plan, decode: CurveTables): Hide[] {
  const e = plan.shot.elements.find((x) => x.id === id)
  if (e === undefined) return []
  const matte = input.elements.find((x) => x.id === id)?.holdout
  return [
    ...(matte === undefined ? [] : [matteHide(matte)]),
    ...shapesBefore(plan.shot, e)
      .filter((s) => hidesOn(s, input.number))
      .map((s) => shapeHide(s, input.number, plan)),
    ...luminanceOf(e, input.plate, plan, decode),
    ...depthOf(e, input.depth, plan),
  ]
}

/** Everything in the plate is drawn by its lens, whatever share of that an element gets. */
export function shapeHide(shape: Shot['shapes'][number], number: number, plan: Plan): Hide {
  const open = shutterAngle(plan.shot) / 360
  let made: ShapeAt | undefined
  return (part) => {
    made ??= shapeAt(shape, number, { open, carry: carryOf(shape, plan), drawn: bendOf(plan)?.drawn })
    return shapeCoverage(made, part)
  }
}

/** @throws Problem as `trackOf` */
export function carryOf(shape: Shot['shapes'][number], { tracks }: Pick<Plan, 'tracks'>): Carriage['carry'] {
  const { follow } = shape
  if (follow === undefined) return undefined
  return goingWith(trackOf(tracks, follow.track), follow.take, anchorOf(shape))
}

function luminanceOf(e: ShotElement, plate: NativeFrame, plan: Plan, decode: CurveTables): Hide[] {
  const ramp = e.holdout?.luminance
  if (ramp === undefined) return []
  const { encoding } = plan.plate
  const light = (part: Region) => curved(unpack(plate, encoding, part), decode)
  return [luminanceHide(light, luminanceRow(encoding.primaries), ramp)]
}

function depthOf(e: ShotElement, map: NativeFrame | undefined, plan: Plan): Hide[] {
  const scale = plan.shot.site.depth
  if (e.holdout?.depth !== true || map === undefined || scale === undefined || e.distanceM === undefined)
    return []
  return [depthHide(map, scale, e.distanceM, plan.plate)]
}
