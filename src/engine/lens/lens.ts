/** How the plate's lens bends straight lines, found in one of several ways and written into the document. */
import { Problem, type Reading, told } from '../../core/index.js'
import { loadShot } from '../document.js'
import { pictureOf } from '../plan.js'
import { openRecord } from '../sources.js'
import { fromProfile, type ProfileAsked } from './fromProfile.js'
import { type LensFound, refuseByHand, writeLens } from './write.js'

export interface LensAsked {
  /** A published profile. */
  readonly profile?: ProfileAsked | undefined
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
export async function findLens(path: string, asked: LensAsked): Promise<LensResult> {
  const { shot, folder } = await loadShot(path)
  refuseByHand(shot)
  const source = await openRecord(shot.plate, folder)
  try {
    const plate = pictureOf(source.info)
    if (asked.profile === undefined) throw new Problem({ code: 'lens.way', what: 'It is not said how' })
    const { reading, said } = await fromProfile(shot, plate, asked.profile)
    if (told(reading)) await writeLens(path, reading)
    return { distortion: reading, said }
  } finally {
    await source.close()
  }
}
