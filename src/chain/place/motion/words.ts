/** What is to be said to a person of a motion: its jumps, and what was not seen. Frames of the shot, 0-based. */
import type { SolvedFrame } from './known.js'

export function saidOf(
  frames: readonly SolvedFrame[],
  jumps: readonly { frame: number; px: number }[],
): readonly string[] {
  return [
    ...jumps.map(
      ({ frame, px }) =>
        `What is followed jumps by ${px.toFixed(1)} px between frames ${frame - 1} and ${frame}: the picture jumps there, or it was followed wrongly. Look at both; nothing is carried over that.`,
    ),
    ...runs(frames, 'bridged').map(
      (r) =>
        `${range(r)} carried over from both sides, spread up to ${Math.max(...r.map((f) => f.spreadPx)).toPrecision(2)} px.`,
    ),
    ...runs(frames, 'lost').map((r) => `${range(r)} lost: nothing is known of the motion there.`),
  ]
}

function range(run: readonly SolvedFrame[]): string {
  const [a, b] = [run[0]?.frame, run.at(-1)?.frame]
  return a === b ? `Frame ${a} is` : `Frames ${a} to ${b} are`
}

function runs(frames: readonly SolvedFrame[], state: SolvedFrame['state']): readonly SolvedFrame[][] {
  const out: SolvedFrame[][] = []
  frames.forEach((f, i) => {
    if (f.state !== state) return
    if (frames[i - 1]?.state === state) out.at(-1)?.push(f)
    else out.push([f])
  })
  return out
}
