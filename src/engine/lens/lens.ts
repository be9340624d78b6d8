/** How the plate's lens bends straight lines, found in one of several ways and written into the document. */
import { Problem, type Reading, told } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import { loadShot } from '../document.js'
import { type Picture, pictureOf } from '../plan.js'
import { openRecord } from '../sources.js'
import type { Job } from '../types.js'
import { type BoardAsked, fromBoard } from './fromBoard.js'
import { fromProfile, type ProfileAsked } from './fromProfile.js'
import { type LensFound, refuseByHand, writeLens } from './write.js'

export interface LensAsked {
  /** A published profile. */
  readonly profile?: ProfileAsked | undefined
  /** Footage of a calibration pattern. */
  readonly board?: BoardAsked | undefined
}

export interface LensResult {
  readonly distortion: Reading<LensFound>
  /** What a person should know beside it. */
  readonly said: readonly string[]
}

/**
 * @param path of the document
 * @throws Problem `lens.set-by-hand`, as the ways and `editShot`
 */
export async function findLens(path: string, asked: LensAsked, job: Job = {}): Promise<LensResult> {
  const { shot, folder } = await loadShot(path)
  refuseByHand(shot)
  const source = await openRecord(shot.plate, folder)
  try {
    const plate = pictureOf(source.info)
    const { reading, said } = await found(shot, plate, asked, job)
    if (told(reading)) await writeLens(path, reading)
    return { distortion: reading, said }
  } finally {
    await source.close()
  }
}

async function found(
  shot: Shot,
  plate: Picture,
  { profile, board }: LensAsked,
  job: Job,
): Promise<{ reading: Reading<LensFound>; said: readonly string[] }> {
  if (profile !== undefined) return fromProfile(shot, plate, profile)
  if (board !== undefined) return fromBoard(plate, board, job)
  throw new Problem({ code: 'lens.way', what: 'It is not said how' })
}
