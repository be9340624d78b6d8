import { findProfiles, nameOf } from '../../engine/lens/database.js'
import type { Outcome } from '../outcome.js'
import { counted, table } from '../table.js'

/** Published lens profiles by name; exit 1 when there is none of that name. */
export async function lenses(words: readonly string[], folder: string | undefined): Promise<Outcome> {
  const found = await findProfiles(words, folder)
  const rows = found.map((p) => [
    nameOf(p),
    p.measured[0]?.distortion.form ?? '',
    `crop ${p.cropFactor}`,
    `${p.measured.map((m) => m.focalLengthMm).join(', ')} mm`,
  ])
  return {
    text: [table(rows), `${counted(found.length, 'profile')}`].filter((t) => t !== '').join('\n\n'),
    json: found,
    exit: found.length === 0 ? 1 : 0,
  }
}
