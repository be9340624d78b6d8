import { resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { keyFile } from '../../engine/key/key.js'
import type { Ground } from '../../engine/key/types.js'
import type { Job } from '../../engine/types.js'
import type { OpenOptions } from '../../media/index.js'
import { findingsText, type Outcome } from '../outcome.js'
import { counted } from '../table.js'

/** As commander gives them. */
export interface KeyArguments {
  readonly out: string
  readonly frames?: { readonly first: number; readonly count: number }
  readonly at?: { readonly x: number; readonly y: number }
  readonly wall?: { readonly x: number; readonly y: number }
  readonly clean?: Ground
  readonly cleanFrames?: { readonly first: number; readonly count: number }
  readonly other?: string
  readonly otherClean?: Ground
  readonly outside?: readonly ([number, number][] | string)[]
  readonly covered?: readonly ([number, number][] | string)[]
  readonly matte?: string
  readonly edgeOut?: number
  readonly edgeWider?: number
  readonly spill: number
  readonly shutter?: number
  readonly alone?: boolean
  readonly curve?: string
  readonly primaries?: string
  readonly matrix?: string
  readonly range?: string
  readonly fresh?: boolean
}

/** Keys a file; exit 1 when some of its frames show no screen. */
export async function key(file: string, o: KeyArguments, job: Job): Promise<Outcome> {
  const { out, frames, at, clean, outside, covered, spill, curve, primaries, matrix, range, fresh } = o
  const tags = Object.entries({ curve, primaries, matrix, range }).filter(([, v]) => v !== undefined)
  const encoding = Object.fromEntries(tags) as NonNullable<OpenOptions['encoding']>
  const how = {
    frames,
    at,
    wall: o.wall,
    clean,
    cleanFrames: o.cleanFrames,
    second: secondOf(o),
    outside: outside?.filter((o) => typeof o !== 'string'),
    covered: covered?.filter((o) => typeof o !== 'string'),
    outsideFiles: outside?.filter((o) => typeof o === 'string'),
    coveredFiles: covered?.filter((o) => typeof o === 'string'),
    matte: o.matte === undefined ? undefined : resolve(o.matte),
    edge: { out: o.edgeOut ?? 0, wider: o.edgeWider ?? 0 },
    spill,
    shutter: o.shutter,
    alone: o.alone === true,
    encoding,
  }
  const done = await keyFile(resolve(file), { out: resolve(out), ...how, fresh: fresh === true }, job)
  const { without, screen, streaks, findings } = done
  const shares = screen?.map((v) => `${(100 * v).toFixed(0)} %`).join(', ')
  const lines = [
    `${out}: ${counted(done.frames.count, 'frame')}, premultiplied linear light with alpha`,
    ...(shares === undefined ? [] : [`screen: red, green and blue make ${shares} of its light`]),
    ...(streaks === undefined
      ? []
      : [
          `streaks of fast edges as of a shutter of ${streaks.shutter.toFixed(0)}°${o.shutter === undefined ? ', measured on them' : ''}: ${counted(streaks.frames, 'frame')}`,
        ]),
    ...(without.length === 0
      ? []
      : [
          how.second === undefined
            ? `${counted(without.length, 'frame')} without a screen (${listed(without)}): keyed by the light of the last one that had it, or left whole`
            : `neither ground is seen on ${counted(without.length, 'frame')} (${listed(without)}): covered all over, or the two files are the same`,
        ]),
    ...(done.resumed === 0
      ? []
      : [
          `${counted(done.resumed, 'frame')} of them taken over from a call that was broken off; --fresh starts over`,
        ]),
    findingsText(findings),
  ]
  return {
    text: lines.filter((line) => line !== '').join('\n'),
    json: { file: resolve(file), out: resolve(out), ...done },
    exit: without.length > 0 ? 1 : 0,
  }
}

function secondOf({ other, otherClean }: KeyArguments) {
  if (other === undefined && otherClean === undefined) return undefined
  if (other !== undefined && otherClean !== undefined) return { file: resolve(other), clean: otherClean }
  throw new Problem({
    code: 'key.no-clean',
    what: 'A second ground needs both: the pictures before it, and itself without the element',
    where: other === undefined ? '--other' : '--other-clean',
    received: 'nothing',
  })
}

/** At most ten, and how many more. */
function listed(frames: readonly number[]): string {
  const few = frames.slice(0, 10).join(', ')
  return frames.length > 10 ? `${few} and ${frames.length - 10} more` : few
}
