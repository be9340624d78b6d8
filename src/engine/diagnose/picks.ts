/**
 * Which frames to look at: all of a short clip; of a long one three runs of successive frames, spread from its head to its end, so
 * that both what changes from frame to frame and what changes over the clip is seen. The budget counts pixels: a large picture
 * costs more.
 */
import type { SourceInfo } from '../../media/index.js'

/** Pixels that may be decoded for a look by sampling: 80 frames of 1920×1080. */
const BUDGET = 80 * 1920 * 1080
const RUNS = 3
const [LEAST, MOST] = [24, 160]
/** Memory that frames kept whole may take, bytes; and how many are plenty. */
const KEPT = 300e6
const STILLS = 5

export interface Picks {
  readonly runs: readonly { readonly first: number; readonly count: number }[]
  /** Frames kept whole, with the one after each where it is read too. */
  readonly stills: ReadonlySet<number>
}

export function picksOf(info: SourceInfo, all: boolean): Picks {
  const n = info.frameCount
  const pixels = info.width * info.height
  const budget = Math.min(MOST, Math.max(LEAST, Math.floor(BUDGET / pixels)))
  const each = Math.floor(budget / RUNS)
  const runs =
    all || n <= budget
      ? [{ first: 0, count: n }]
      : Array.from({ length: RUNS }, (_, k) => ({
          first: Math.round(((n - each) * k) / (RUNS - 1)),
          count: each,
        }))
  const bytes = pixels * 4 * (info.layout.float ? 4 : info.layout.bits > 8 ? 2 : 1)
  const many = Math.max(2, Math.min(STILLS, Math.floor(KEPT / bytes / 2)))
  const read = runs.flatMap((r) => Array.from({ length: r.count }, (_, i) => r.first + i))
  const stills = new Set<number>()
  // The middles of equal parts: heads and ends are often empty.
  for (let k = 0; k < many; k++) stills.add(read[Math.floor(((k + 0.5) / many) * read.length)] as number)
  return { runs, stills }
}
