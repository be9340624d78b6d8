import { addTrack, type NewTrack } from '../../engine/track/add.js'
import { summaryOf } from '../../engine/track/summary.js'
import { trackShot } from '../../engine/track/track.js'
import type { Job } from '../../engine/types.js'
import type { Outcome } from '../outcome.js'
import { counted, table } from '../table.js'

export interface TrackArguments {
  readonly again: boolean
  readonly add?: NewTrack
}

/** Follows tracks; exit 1 when one is lost somewhere or the picture jumps. */
export async function track(
  path: string,
  names: readonly string[],
  { again, add }: TrackArguments,
  job: Job,
): Promise<Outcome> {
  const ids = add === undefined ? names : [...names, await addTrack(path, add)]
  const tracked = await trackShot(path, { ids, again }, job)
  const found = tracked.map((t) => ({ ...summaryOf(t.data), file: t.file, sha256: t.sha256, kept: t.kept }))
  const rows = found.map((t) => [
    t.id,
    t.motion,
    `${t.tracked} of ${t.frames}`,
    `${t.bridged}`,
    `${t.lost}`,
    px(t.medianSpreadPx),
    `${px(t.worstSpreadPx)} on ${t.worstFrame}`,
    t.kept ? 'kept' : 'followed',
  ])
  const head = ['track', 'motion', 'tracked', 'bridged', 'lost', 'spread', 'worst', '']
  const words = found.map((t) =>
    [`${t.id}: ${t.motion}, ${t.why}`, ...t.said.map((s) => `  ${s}`)].join('\n'),
  )
  const files = `${counted(found.length, 'track')} in ${found.map((t) => t.file).join(', ')}`
  return {
    text: [table([head, ...rows]), ...words, files].join('\n\n'),
    json: { shot: path, tracks: found },
    exit: found.some((t) => t.lost > 0 || t.jumps.length > 0) ? 1 : 0,
  }
}

function px(v: number): string {
  return `${Number(v.toPrecision(2))} px`
}
