/** Which pictures of an element show when: its own time, and where it is a pulse of light the frames and rows that see it. */
import { openSeconds } from '../chain/shutter/angle/model.js'
import type { Cadence } from '../chain/shutter/cadence/model.js'
import type { RowShares } from '../chain/shutter/readout/apply.js'
import { type FlashBand, flashBands, flashShare } from '../chain/shutter/readout/flash.js'
import { Problem } from '../core/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import { shutterAngle } from './exposure.js'
import type { Picture } from './plan.js'

export function cadenceOf(e: ShotElement, picture: Picture, plate: Picture, shot: Shot): Cadence {
  const pulse = pulseOf(e, plate, shot)
  return {
    startFrame: e.startFrame,
    trimFrames: e.trimFrames,
    element: picture.rate,
    plate: plate.rate,
    count: picture.frameCount,
    // One picture is meant to stand there.
    ...(picture.frameCount === 1 ? { hold: 'last' } : {}),
    ...e.time,
    ...(pulse && { pulse: pulse.bands.map((b) => b.frame) }),
  }
}

/** A short light under the plate's shutter. */
export interface Pulse {
  /** Frames that see it. */
  readonly bands: readonly FlashBand[]
  /** What each row of a frame sees of it. */
  readonly shares: (frame: number) => RowShares
}

/** Undefined where the document says of no pulse, or the link is off. */
export function pulseOf(
  e: ShotElement,
  { rate, height }: Pick<Picture, 'rate' | 'height'>,
  shot: Shot,
): Pulse | undefined {
  const { flash } = e
  const { readoutMs } = shot.camera
  if (flash === undefined || readoutMs === undefined || strengthOf(e, 'shutter') === 0) return undefined
  const fps = rate.num / rate.den
  const open = openSeconds(shutterAngle(shot), fps)
  const timing = { seconds: readoutMs / 1000, rows: height, frame: 1 / fps, open }
  const light = { at: flash.atMs / 1000, length: flash.lengthMs / 1000 }
  return {
    bands: flashBands(timing, light),
    shares: (frame) => Float64Array.from({ length: height }, (_, y) => flashShare(timing, light, frame, y)),
  }
}

/** What a render says of each pulse: the frames and rows on which it shows. */
export function flashFindings(shot: Shot, plate: Picture): Problem[] {
  return shot.elements.flatMap((e) => {
    const pulse = pulseOf(e, plate, shot)
    if (pulse === undefined) return []
    const on = pulse.bands.map((b) => `frame ${b.frame} rows ${b.lit[0]} to ${b.lit[1]}`)
    return [
      new Problem({
        code: 'shutter.flash-rows',
        what: `"${e.id}" is a light of ${e.flash?.lengthMs} ms: it shows on those rows alone that are open then`,
        where: `elements.${e.id}.flash`,
        received: on.length === 0 ? 'no row sees it: the shutter is closed' : on.join(', '),
      }),
    ]
  })
}
