import { told } from '../../core/index.js'
import { findLens, type LensResult } from '../../engine/lens/lens.js'
import { evidenceText } from '../evidence.js'
import type { Outcome } from '../outcome.js'
import { numbers } from '../table.js'

export interface LensOptions {
  readonly profile?: readonly string[]
  readonly focal?: number
  readonly folder?: string
}

/** Finds the plate's distortion; exit 1 when it cannot be told. */
export async function lens(path: string, o: LensOptions): Promise<Outcome> {
  const found = await findLens(path, {
    profile: o.profile && { words: o.profile, folder: o.folder, focalLengthMm: o.focal },
  })
  return {
    text: textOf(found),
    json: { shot: path, ...found },
    exit: told(found.distortion) ? 0 : 1,
  }
}

function textOf({ distortion: d, said }: LensResult): string {
  const head = told(d)
    ? [`${d.value.form}: ${numbers(d.value.terms)}`, evidenceText(d.evidence)]
    : [`cannot tell: ${d.cannotTell}`]
  return [...head, ...said].join('\n')
}
