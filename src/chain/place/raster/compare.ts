/**
 * Cut border: the element reaches the edge of its own picture inside the frame, so that the edge shows.
 *
 * Along each side of its box, the change of the picture 2 to 3 pixels inside less that 2 to 3 pixels outside, in code values,
 * means of 24 pixels along the side, which is looked for where the plate's lens draws it. Stretches where the element itself holds nothing (another one may), or that lie behind a
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
    { edge: left, inward: 1, vertical: true, from: top, to: bottom },
    { edge: right, inward: -1, vertical: true, from: top, to: bottom },
    { edge: top, inward: 1, vertical: false, from: left, to: right },
    { edge: bottom, inward: -1, vertical: false, from: left, to: right },
  ]
  for (const side of sides) {
    const across = side.vertical ? width : height
    const along = side.vertical ? height : width
    const end = Math.min(Math.round(side.to), along)
    for (let t = Math.max(Math.round(side.from), 0); t + RUN <= end; t += RUN) {
      const edge = Math.round(edgeAt(e, side, t + RUN / 2, across))
      const s = { ...side, at: side.inward > 0 ? edge : edge - 1 }
      if (!(s.at - 3 >= 0 && s.at + 3 < across)) continue
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

/** Where a side lies at a place along it, as the plate's lens draws it in the frame; NaN where it does not. */
function edgeAt(
  { bend }: SeenElement,
  s: { edge: number; vertical: boolean },
  along: number,
  across: number,
): number {
  if (bend === undefined) return s.edge
  const turned = ([x, y]: readonly [number, number]): [number, number] => (s.vertical ? [x, y] : [y, x])
  // The lens's way back holds inside the frame alone; far outside, its way there folds over.
  const from = Math.min(Math.max(s.edge, 0), across)
  const [, straight] = turned(bend.straight(...turned([from, along])))
  const [at] = turned(bend.drawn(...turned([s.edge, straight])))
  if (at < 0 || at > across) return Number.NaN
  const [back] = turned(bend.straight(...turned([at, along])))
  return Math.abs(back - s.edge) < 1 ? at : Number.NaN
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
