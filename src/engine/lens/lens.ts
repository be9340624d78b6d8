/** How the plate's lens bends straight lines, found in one of several ways and written into the document. */
import { type Reading, told } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import type { Shot } from '../../shot/schema.js'
import { loadShot } from '../document.js'
import { pictureOf } from '../plan.js'
import { openPlate } from '../sources.js'
import type { Job } from '../types.js'
import type { Published } from './besides.js'
import { type BoardAsked, fromBoard } from './fromBoard.js'
import { fromLines, type LinesAsked } from './fromLines.js'
import { fromMap, type MapAsked } from './fromMap.js'
import { fromProfile, type ProfileAsked } from './fromProfile.js'
import { type LensFound, notByHand, refuseByHand, writeLens } from './write.js'

export interface LensAsked {
  /** A published profile. */
  readonly profile?: ProfileAsked | undefined
  /** Footage of a calibration pattern. */
  readonly board?: BoardAsked | undefined
  /** Pictures of a distortion map. */
  readonly map?: MapAsked | undefined
  /** Straight lines of the plate itself: the way when no other is asked for. */
  readonly lines?: LinesAsked | undefined
}

export interface LensResult {
  readonly distortion: Reading<LensFound>
  /** What a profile says besides, as far as it was written. */
  readonly besides: Published
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
  const source = await openPlate(shot, folder)
  try {
    const { reading, said, besides: all } = await found(shot, source, asked, job)
    const besides = notByHand(shot, all ?? {})
    if (told(reading)) await writeLens(path, reading, all)
    const stays = Object.keys(all ?? {})
      .filter((name) => !(name in besides))
      .map((name) => `${name} stays as it was set by hand.`)
    return { distortion: reading, besides, said: [...said, ...stays] }
  } finally {
    await source.close()
  }
}

async function found(
  shot: Shot,
  source: Source,
  { profile, board, map, lines = {} }: LensAsked,
  job: Job,
): Promise<{ reading: Reading<LensFound>; besides?: Published; said: readonly string[] }> {
  const plate = pictureOf(source.info)
  if (profile !== undefined) return fromProfile(shot, plate, profile)
  if (board !== undefined) return fromBoard(plate, board, job)
  if (map !== undefined) return fromMap(plate, map)
  return fromLines(shot, source, lines, job)
}
