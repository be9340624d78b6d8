import { Problem, told } from '../../core/index.js'
import type { LinesAsked } from '../../engine/lens/fromLines.js'
import { findLens, type LensResult } from '../../engine/lens/lens.js'
import type { MapWay } from '../../engine/lens/mapWords.js'
import type { Board } from '../../engine/lens/views.js'
import type { Job } from '../../engine/types.js'
import { evidenceText } from '../evidence.js'
import type { Outcome } from '../outcome.js'
import { numbers } from '../table.js'

export interface LensOptions {
  readonly profile?: readonly string[]
  readonly focal?: number
  readonly folder?: string
  readonly map?: string
  readonly way: MapWay
  readonly frames?: LinesAsked['frames']
  readonly region?: LinesAsked['within']
  readonly board?: 'chessboard' | 'dots' | 'charuco'
  readonly footage?: readonly string[]
  readonly squares?: { readonly columns: number; readonly rows: number }
  readonly mark: number
  readonly marks?: Extract<Board, { kind: 'charuco' }>['marks']
}

/** Finds the plate's distortion; exit 1 when it cannot be told. */
export async function lens(path: string, o: LensOptions, job: Job): Promise<Outcome> {
  const asked = {
    profile: o.profile && { words: o.profile, folder: o.folder, focalLengthMm: o.focal },
    board: boardOf(o),
    map: o.map === undefined ? undefined : { file: o.map, way: o.way },
    lines: { frames: o.frames, within: o.region },
  }
  const found = await findLens(path, asked, job)
  return {
    text: textOf(found),
    json: { shot: path, ...found },
    exit: told(found.distortion) ? 0 : 1,
  }
}

function boardOf(o: LensOptions): { board: Board; files: readonly string[] } | undefined {
  const { board: kind, footage: files, squares, mark, marks } = o
  if (kind === undefined) return undefined
  if (files === undefined) throw usage('--board needs --footage')
  if (kind !== 'charuco') return { board: { kind }, files }
  if (squares === undefined || marks === undefined) throw usage('A charuco board needs --squares and --marks')
  return { board: { kind, ...squares, mark, marks }, files }
}

function usage(what: string): Problem {
  return new Problem({ code: 'cli.usage', what })
}

function textOf({ distortion: d, besides, said }: LensResult): string {
  const head = told(d)
    ? [`${d.value.form}: ${numbers(d.value.terms)}`, evidenceText(d.evidence)]
    : [`cannot tell: ${d.cannotTell}`]
  const more = Object.entries(besides).map(([name, t]) => `${name}: ${'value' in t ? numbers(t.value) : ''}`)
  return [...head, ...more, ...said].join('\n')
}
