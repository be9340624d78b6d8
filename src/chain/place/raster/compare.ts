/**
 * Cut border: the element reaches the edge of its own picture inside the frame, so that the edge shows.
 *
 * Along each side of its box, the change of the picture 2 to 3 pixels inside less that 2 to 3 pixels outside, in code values,
 * means of 24 pixels along the side. Stretches where the element itself holds nothing (another one may), or that lie behind a
 * holdout, are left out. Limit: 0.015 of the code range (a choice).
 */
import type { Region } from '../../../core/index.js'
import type { Comparison, Seen, SeenElement } from '../../compare.js'

const RUN = 24
const LIMIT = 0.015
/** Least coverage or light that counts as something. */
const THERE = 0.004

export interface BorderLook {
  readonly frame: number
  readonly step: number
  readonly region: Region
}

/** The strongest step along the four sides. */
export function lookAtBorder(seen: Seen, e: SeenElement): BorderLook {
  const { width, height } = seen.plate.region
  let best: BorderLook = { frame: seen.frame, step: 0, region: { x: 0, y: 0, width: 1, height: 1 } }
  const { left, top, right, bottom } = e.box
  const sides = [
    { at: Math.round(left), inward: 1, vertical: true, from: top, to: bottom },
    { at: Math.round(right) - 1, inward: -1, vertical: true, from: top, to: bottom },
    { at: Math.round(top), inward: 1, vertical: false, from: left, to: right },
    { at: Math.round(bottom) - 1, inward: -1, vertical: false, from: left, to: right },
  ]
  for (const s of sides) {
    const across = s.vertical ? width : height
    if (s.at - 3 < 0 || s.at + 3 >= across) continue
    const along = s.vertical ? height : width
    const end = Math.min(Math.round(s.to), along)
    for (let t = Math.max(Math.round(s.from), 0); t + RUN <= end; t += RUN) {
      const step = runStep(seen, e, s, t, width)
      if (step <= best.step) continue
      const region = s.vertical
        ? { x: s.at - 4, y: t, width: 8, height: RUN }
        : { x: t, y: s.at - 4, width: RUN, height: 8 }
      best = { frame: seen.frame, step, region }
    }
  }
  return best
}

function runStep(
  seen: Seen,
  e: SeenElement,
  s: { at: number; inward: number; vertical: boolean },
  from: number,
  width: number,
): number {
  const sum = [0, 0, 0]
  let there = false
  for (let t = from; t < from + RUN; t++) {
    for (const [depth, sign] of [
      [2, 1],
      [3, 1],
      [-2, -1],
      [-3, -1],
    ] as const) {
      const a = s.at + s.inward * (depth > 0 ? depth - 1 : depth)
      const p = s.vertical ? t * width + a : a * width + t
      if ((e.alpha[p] as number) > THERE || (e.light[p] as number) > THERE) there = true
      if (e.holdout !== undefined && (e.holdout[p] as number) > 0.05) return 0
      for (let c = 0; c < 3; c++) {
        const change =
          (seen.renderedCode.data[4 * p + c] as number) - (seen.plateCode.data[4 * p + c] as number)
        sum[c] = (sum[c] as number) + sign * change
      }
    }
  }
  return there ? Math.max(...sum.map((v) => Math.abs(v) / (2 * RUN))) : 0
}

export function compareBorder(name: string, looks: readonly BorderLook[]): Comparison {
  const out = looks.filter((l) => l.step > LIMIT)
  const worst = [...looks].sort((a, b) => b.step - a.step)[0]
  const measured = { border: [worst?.step ?? 0] }
  if (worst === undefined || out.length === 0) return { verdicts: [], undecided: [], measured }
  return {
    verdicts: [
      {
        tell: 'cut-border',
        link: 'place',
        frames: out.map((l) => l.frame),
        region: worst.region,
        unit: 'code',
        measured: worst.step,
        expected: 0,
        limit: LIMIT,
        confidence: 0.8,
        sentence: `${name} is cut off by the edge of its own picture.`,
        cause: 'The element touches the border of its file, and that border lies inside the frame.',
        remedy:
          'Move or enlarge it so that the border leaves the frame, start it later, or hide the border behind a holdout.',
        contrast: worst.step / LIMIT,
      },
    ],
    undecided: [],
    measured,
  }
}
