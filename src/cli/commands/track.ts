import { realpath } from 'node:fs/promises'
import { Problem } from '../../core/index.js'
import type { NewTrack } from '../../engine/track/add.js'
import { kindOf, motionText } from '../../engine/track/exchange.js'
import { forgetFiles } from '../../engine/track/forget.js'
import { summaryOf } from '../../engine/track/summary.js'
import { type Tracked, trackShot } from '../../engine/track/track.js'
import type { Job } from '../../engine/types.js'
import { writeNew } from '../../report/whole.js'
import { statesOf } from '../../server/history.js'
import type { Outcome } from '../outcome.js'
import { counted, table } from '../table.js'

export interface TrackArguments {
  readonly again: boolean
  readonly add?: NewTrack
  /** Where the matrices and the points of the one track are written. */
  readonly out?: { readonly matrices?: string | undefined; readonly points?: string | undefined }
}

/** Follows tracks; exit 1 when one is lost somewhere or known to no more than 2 px, or when the picture jumps. */
export async function track(
  path: string,
  names: readonly string[],
  { again, add, out = {} }: TrackArguments,
  job: Job,
): Promise<Outcome> {
  const outs = exports(out)
  for (const { file, option } of outs) checkExport(file, option, names, add)
  const tracked = await trackShot(path, { ids: names, again, add }, job)
  const old = tracked.flatMap((t) => t.before ?? [])
  const real = await realpath(path)
  await forgetFiles(real, old, await statesOf(real))
  const found = tracked.map((t) => ({
    ...summaryOf(t.data),
    file: t.file,
    sha256: t.sha256,
    kept: t.kept,
    fromFile: t.fromFile,
  }))
  const rows = found.map((t) => [
    t.id,
    t.motion,
    `${t.tracked} of ${t.frames}${t.wide > 0 ? ` (${t.wide} wide)` : ''}`,
    `${t.bridged}`,
    `${t.lost}`,
    px(t.medianSpreadPx),
    `${px(t.worstSpreadPx)} on ${t.worstFrame}`,
    t.kept ? 'kept' : t.fromFile === undefined ? 'followed' : 'read',
  ])
  const head = ['track', 'motion', 'tracked', 'bridged', 'lost', 'spread', 'worst', '']
  const words = found.map((t) =>
    [`${t.id}: ${t.motion}, ${t.why}`, ...t.said.map((s) => `  ${s}`)].join('\n'),
  )
  const [one] = tracked
  for (const { what, file, option } of one === undefined ? [] : outs) {
    const { id, file: from, sha256 } = one as Tracked
    await writeNew(file, await motionText(path, { id, data: { file: from, sha256 } }, what, file), option)
  }
  const files = `${counted(found.length, 'track')} in ${found.map((t) => t.file).join(', ')}`
  return {
    text: [
      table([head, ...rows]),
      ...words,
      files,
      ...outs.map(({ what, file }) => `its ${what}: ${file}`),
    ].join('\n\n'),
    json: { shot: path, tracks: found, ...(outs.length === 0 ? {} : { out }) },
    exit: found.some((t) => t.lost > 0 || t.wide > 0 || t.jumps.length > 0) ? 1 : 0,
  }
}

function px(v: number): string {
  return `${Number(v.toPrecision(2))} px`
}

interface Export {
  readonly what: 'matrices' | 'points'
  readonly option: string
  readonly file: string
}

function exports({ matrices, points }: NonNullable<TrackArguments['out']>): readonly Export[] {
  return [
    ...(matrices === undefined ? [] : [{ what: 'matrices', option: '--export', file: matrices } as const]),
    ...(points === undefined ? [] : [{ what: 'points', option: '--export-points', file: points } as const]),
  ]
}

function checkExport(out: string, option: string, names: readonly string[], add: NewTrack | undefined): void {
  kindOf(out)
  const count = names.length + (add === undefined ? 0 : 1)
  if (count !== 1)
    throw new Problem({
      code: 'cli.value',
      what: 'One track at a time is written',
      where: option,
      expected: 'the name of one track',
      received: count === 0 ? 'none' : `${count}`,
    })
}
