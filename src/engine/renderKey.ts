import { createHash } from 'node:crypto'
import { codecVersions, type DeliverySpec, type Source, sourceIdentity } from '../media/index.js'
import { allSources, type Plan, type ShotSources } from './plan.js'
import type { RenderOptions } from './types.js'
import { engineVersion } from './version.js'

/** What does not change a render: where numbers come from, what the check shall be silent about. */
const UNSEEN = new Set(['evidence', 'meant', 'note'])

/**
 * Says everything that a render's bytes depend on: the document without its evidence, what is asked for, the delivery, the
 * program's and the codecs' versions, and which files the sources are. Only frames under the same key fit together.
 */
export async function renderKey(
  plan: Plan,
  sources: ShotSources,
  numbers: readonly number[],
  options: RenderOptions,
  spec: DeliverySpec,
): Promise<string> {
  const { out: _, fresh: __, ...asked } = options
  const parts = {
    versions: [engineVersion(), codecVersions()],
    plan,
    numbers,
    asked,
    spec,
    files: await Promise.all(allSources(sources).map(identityOf)),
  }
  const seen = (name: string, value: unknown) => (UNSEEN.has(name) ? undefined : value)
  return createHash('sha256').update(JSON.stringify(parts, seen)).digest('hex')
}

function identityOf({ info }: Source): Promise<string> {
  return sourceIdentity(info.path, info.kind === 'still')
}
