import type { Shot } from '../shot/schema.js'
import { fitShot } from './fit.js'
import { ledgerRows } from './ledger.js'
import type { Job, LedgerRow } from './types.js'

/** What the meters say of a shot's plate and elements, as ledger rows; the document is not changed. @throws as `fitShot` */
export async function measureShot(shot: Shot, folder: string, job: Job = {}): Promise<LedgerRow[]> {
  const { shot: fitted } = await fitShot(shot, folder, job)
  return ledgerRows(fitted, [], [], [])
}
