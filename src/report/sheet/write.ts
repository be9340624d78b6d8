import type { KnownFacts, SuitResult } from '../../engine/suit/types.js'
import type { Job } from '../../engine/types.js'

export async function writeSheet(
  _r: SuitResult,
  _known: KnownFacts,
  _out: string,
  _job: Job,
): Promise<void> {}
