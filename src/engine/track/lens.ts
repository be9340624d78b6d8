import type { Bend } from '../../chain/lens/bend.js'
import type { Seen } from '../../chain/place/motion/seen.js'
import type { Shot } from '../../shot/schema.js'
import type { Place } from '../../vision/index.js'
import { plateSettled } from '../plateSettings.js'

/** Between the plate as it was filmed and a plate without lens distortion. */
export interface Lens {
  readonly straight: (p: Place) => Place
  readonly filmed: (p: Place) => Place
}

export function lensOf(bend: Bend | undefined): Lens {
  if (bend === undefined) return { straight: (p) => p, filmed: (p) => p }
  return { straight: ([x, y]) => bend.straight(x, y), filmed: ([x, y]) => bend.drawn(x, y) }
}

/** The lens of a camera that turns: its middle, and its focal length where the document says it. */
export function turning(shot: Shot, width: number, height: number): Seen['lens'] {
  const { focalLengthMm, sensorWidthMm } = shot.camera
  const [x = 0, y = 0] = plateSettled(shot, 'lens.axis') ?? []
  const unit = Math.min(width, height) / 2
  const middle = [width / 2 + unit * x, height / 2 + unit * y] as const
  if (focalLengthMm === undefined || sensorWidthMm === undefined) return { middle }
  return { middle, focalPx: (focalLengthMm / sensorWidthMm) * width }
}
