/** What a person should know of how a file was read, although nothing is wrong with it. */
import type { Problem } from '../../core/index.js'

const notes: ReadonlySet<string> = new Set([
  'media.read-as-still',
  'media.read-as-sequence',
  'media.exr-channels-unused',
  'media.exr-chroma-halved',
  'media.exr-parts-unused',
])

/** Of a finding of `SourceInfo`: it tells a choice, no fault. */
export function isNote(finding: Problem): boolean {
  return notes.has(finding.code)
}
