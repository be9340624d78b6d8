/** What the engine is asked to reach, beside what a run measured. */
import type { MemoryRow } from './memory.js'
import type { Row } from './timing.js'

export type AnyRow = Row | MemoryRow

interface Limit {
  readonly name: string
  readonly other: string
  readonly figure: 'ratio' | 'ours_ms' | 'ours_mib'
  readonly least?: number
  readonly most?: number
}

/** Ratios of renders and of memory have a most, those of kernels and threads a least. */
const limits: readonly Limit[] = [
  ...longest('codec-floor', [1.5, 2.5, 1.7, 2.8]),
  ...longest('ffmpeg-graph', [1, 1, 1, 1]),
  ...(
    [
      ['over', 2.3],
      ['warp', 2.5],
      ['grain', 3],
      ['gaussian-20', 4],
      ['curve', 4],
      ['disc-6', 6],
    ] as const
  ).map(([name, least]): Limit => ({ name, other: 'scalar', figure: 'ratio', least })),
  { name: 'threads', other: 'one-thread', figure: 'ratio', least: 1.7 },
  { name: 'track-1080p', other: 'opencv-js', figure: 'ratio', most: 1.5 },
  { name: 'preview-960x540', other: '', figure: 'ours_ms', most: 40 },
  { name: 'memory-1080p', other: '100-frames', figure: 'ratio', most: 1.1 },
  { name: 'memory-1080p', other: '100-frames', figure: 'ours_mib', most: 1.2 * 1024 },
  { name: 'memory-2160p', other: '24-frames', figure: 'ours_mib', most: 3 * 1024 },
]

function longest(other: string, most: readonly number[]): Limit[] {
  const names = ['1080p-quarter', '1080p-full', '2160p-quarter', '2160p-full']
  return names.map((name, i) => ({ name: `render-${name}`, other, figure: 'ratio', most: most[i] as number }))
}

/** A limit of something that was measured. */
export interface Verdict {
  readonly name: string
  readonly other: string
  readonly figure: string
  readonly asked: string
  readonly measured: number
  readonly met: boolean
}

/** One for every limit whose row is among `rows`. */
export function verdicts(rows: readonly AnyRow[]): Verdict[] {
  return limits.flatMap(
    ({ name, other, figure, least = Number.NEGATIVE_INFINITY, most = Number.POSITIVE_INFINITY }) => {
      const row = rows.find((r) => r.name === name && (other === '' || r.other === other))
      const measured = row && (row as unknown as Readonly<Record<string, unknown>>)[figure]
      if (row === undefined || typeof measured !== 'number') return []
      const asked = Number.isFinite(least) ? `≥ ${least}` : `≤ ${most}`
      const met = measured >= least && measured <= most
      return [{ name, other: row.other, figure, asked, measured, met }]
    },
  )
}
