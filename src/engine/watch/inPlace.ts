/** What the watches of one element come to: whether it keeps its place and its size in the plate. */
import { type Comparison, cannotTell } from '../../chain/compare.js'
import { comparePassing } from '../../chain/place/cover/compare.js'
import { compareGrowth } from '../../chain/place/distance/growth.js'
import { compareSlide } from '../../chain/place/slide/compare.js'
import { inFile, long } from '../../chain/place/slide/model.js'
import { compareSteps, stepsOf } from '../../chain/place/stepping/compare.js'
import { compareMoving } from '../checkPlace.js'
import type { Picture, Plan } from '../plan.js'
import type { Anchor } from './anchor.js'
import type { FileWatch } from './file.js'
import type { FootWatch } from './foot.js'
import type { GroundWatch } from './ground.js'
import { type Files, passingOf } from './passing.js'

/** A plate whose ground goes no further stands still, px. */
const STANDS = 2

export interface PlaceWatch {
  readonly anchor: Anchor
  /** Frames on which it shows, of those that are looked at. */
  readonly frames: readonly number[]
  /** Why nothing can be told of how it stays with the plate. */
  readonly why: string | undefined
  readonly ground: GroundWatch
  readonly foot: FootWatch
  readonly file: FileWatch
}

/** Size over the shot, too, for what goes about in it. */
export async function compareInPlace(
  { anchor, frames, why, ground, foot, file }: PlaceWatch,
  files: Files,
  { shot, plate, elements }: Plan,
): Promise<Comparison[]> {
  const { id, follow, keys } = anchor.element
  const picture = elements[id] as Picture
  const sizes = (stands: boolean) =>
    compareMoving(anchor.element, { shot, plate, picture }, frames, anchor.regionAt, stands)
  if (why !== undefined) return [cannotTell('slide', 'place', why), ...sizes(false)]
  const where = { name: id, regionAt: anchor.regionAt }
  // What passes before the anchor, and lets it be seen again where it was, is not its ground.
  const passes = (n: number) => foot.hidden.some(({ between: [a, b] }) => n > a && n < b)
  const { spans, by } = inFile(
    ground.spans.filter((s) => !s.frames.some(passes)),
    file.off,
  )
  const steps = stepsOf(spans)
  const stepping = compareSteps({ ...where, steps })
  const slide = compareSlide({
    ...where,
    foot: anchor.foot,
    follows: follow?.track,
    keyed: (keys?.length ?? 0) > 0,
    spans,
    by,
    frames: frames.filter((n) => !passes(n)).length,
    jumpPx: stepping.verdicts.length > 0 ? Math.max(...steps.map((s) => long(s.placed))) : undefined,
    plateWidth: plate.width,
  })
  // Where it slides, what lies under its foot changes without anything passing.
  const passing =
    slide.verdicts.length > 0 || !anchor.foot ? undefined : await passingOf(foot.hidden, files, plate)
  // One that is left in the frame neither goes nor grows with the plate: that is one fault.
  const quiet = slide.verdicts.length > 0 && follow === undefined
  const moved = slide.measured.slidePlate?.[0]
  return [
    stepping,
    slide,
    ...(passing === undefined ? [] : [comparePassing(id, passing)]),
    ...(anchor.foot ? [compareGrowth({ ...where, spans, widthAt: anchor.widthAt, quiet })] : []),
    ...sizes(moved !== undefined && moved < STANDS),
  ]
}
