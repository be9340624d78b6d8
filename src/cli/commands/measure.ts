import { loadShot } from '../../engine/document.js'
import { measureShot } from '../../engine/index.js'
import type { Job } from '../../engine/types.js'
import { measuredText } from '../ledger.js'
import type { Outcome } from '../outcome.js'

/** Measures plate and elements; the document stays as it is. */
export async function measure(path: string, job: Job): Promise<Outcome> {
  const { shot, folder } = await loadShot(path)
  const ledger = await measureShot(shot, folder, job)
  return { text: measuredText(ledger), json: { shot: path, ledger } }
}
