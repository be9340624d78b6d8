/** Which rows of a shot's frames a flash lights. */
import { openSeconds } from '../chain/shutter/angle/model.js'
import { type FlashBand, flashBands } from '../chain/shutter/readout/flash.js'
import { Problem } from '../core/index.js'
import type { Shot } from '../shot/schema.js'
import { shutterAngle, shutterAssumed } from './exposure.js'
import { findFiles } from './stage.js'

export interface FlashOfShot {
  /** What the rows come from. */
  readonly rows: number
  readonly framesPerSecond: number
  readonly shutterAngleDeg: number
  /** The angle is neither said nor measured. */
  readonly angleAssumed: boolean
  readonly readoutMs: number
  readonly atMs: number
  readonly lengthMs: number
  readonly bands: readonly FlashBand[]
}

/**
 * @param atMs from the moment at which the first row of frame 0 opens
 * @throws Problem `shutter.no-readout`, `shutter.flash`, or as files cannot be opened
 */
export async function flashOfShot(
  shot: Shot,
  folder: string,
  atMs: number,
  lengthMs: number,
): Promise<FlashOfShot> {
  const { readoutMs } = shot.camera
  if (readoutMs === undefined) {
    throw new Problem({
      code: 'shutter.no-readout',
      what: 'Nothing says how long the camera takes to read its rows',
      where: 'camera.readoutMs',
      expected: 'milliseconds from the first row to the last',
      remedy: 'Write it into the document: maker or tests tell it, often 8 to 33 ms.',
    })
  }
  const plate = (await findFiles({ ...shot, elements: [] }, folder)).get('plate')
  if (plate === undefined || plate instanceof Problem) throw plate
  const framesPerSecond = plate.rate.num / plate.rate.den
  const angle = shutterAngle(shot)
  const timing = {
    ...{ seconds: readoutMs / 1000, rows: plate.height, frame: 1 / framesPerSecond },
    open: openSeconds(angle, framesPerSecond),
  }
  const bands = flashBands(timing, { at: atMs / 1000, length: lengthMs / 1000 })
  return {
    ...{ rows: plate.height, framesPerSecond, shutterAngleDeg: angle, angleAssumed: shutterAssumed(shot) },
    ...{ readoutMs, atMs, lengthMs, bands },
  }
}
