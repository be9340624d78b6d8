/** What is to be said to a person of a motion: its jumps, and what was not seen. Frames of the shot, 0-based. */
import { WIDEST_PX } from './bridge.js'
import type { Outstanding } from './jumps.js'
import type { SolvedFrame } from './known.js'

/** How the whole picture jumps. */
export interface PictureJump {
  /** The first one after it. */
  readonly frame: number
  /** `far`: it lies elsewhere; `other`: taken through another lens or sensor; `gone`: nothing of the picture before is found. */
  readonly kind: 'far' | 'other' | 'gone'
  /** How far the middle of the picture went, px, and how much larger it became. */
  readonly way: number
  readonly growth: number
  /** Times as sharp, and as light, as before. */
  readonly sharp: number
  readonly light: number
}

export function pictureJumpSaid({ frame, kind, way, growth, sharp, light }: PictureJump): string {
  if (kind === 'gone')
    return `Frame ${frame} begins another picture: nothing of the one before is found in it.`
  const between = `The picture jumps between frames ${frame - 1} and ${frame}: from there on`
  if (kind === 'other')
    return `${between} it is ${sharp.toFixed(2)} times as sharp and ${light.toFixed(2)} times as light, as through another lens.`
  const size = Math.abs(growth - 1) < 0.01 ? '' : ` and is ${growth.toFixed(2)} times as large`
  return `${between} its middle lies ${Math.round(way)} px elsewhere${size}.`
}

/** @param looked whether the picture's own jumps are known, so that these are none  @param first frame of the shot that index 0 is */
export function jumpsSaid(jumps: readonly Outstanding[], first: number, looked: boolean): readonly string[] {
  const why = looked
    ? 'the picture has no jump there, so it was followed wrongly on one of them, or moves unevenly.'
    : 'the picture jumps there, or it was followed wrongly.'
  return jumps.map(
    ({ at, by }) =>
      `What is followed jumps by ${by.toFixed(1)} px between frames ${first + at - 1} and ${first + at}: ${why} Look at both; nothing is carried over that.`,
  )
}

const FOLLOWED = 'Put it right by hand there (corrections), begin at a nearer reference frame'
const FROM_FILE = 'Give its file those frames too'

/** @param fromFile the motion is that of a file, which takes no corrections */
export function saidOf(
  frames: readonly SolvedFrame[],
  jumps: readonly string[],
  fromFile = false,
): readonly string[] {
  return [
    ...jumps,
    ...runs(frames, 'bridged').map(
      (r) =>
        `${range(r)} carried over from both sides, spread up to ${Number(Math.max(...r.map((f) => f.spreadPx)).toPrecision(2))} px.`,
    ),
    ...wideSaid(frames),
    ...runs(frames, 'lost').map(
      (r) =>
        `${range(r)} lost: the motion is not known there to ${WIDEST_PX} px. ${fromFile ? FROM_FILE : FOLLOWED}, or end the element before.`,
    ),
  ]
}

/** What was followed, but is known no better than a bridge may be off. */
export function widely<F extends Pick<SolvedFrame, 'state' | 'spreadPx'>>(
  frames: readonly F[],
): readonly F[] {
  return frames.filter((f) => f.state === 'tracked' && f.spreadPx > WIDEST_PX)
}

function wideSaid(frames: readonly SolvedFrame[]): readonly string[] {
  const much = widely(frames)
  if (much.length === 0) return []
  const worst = much.reduce((a, b) => (b.spreadPx > a.spreadPx ? b : a))
  const on = much.length === 1 ? `frame ${worst.frame}` : `${much.length} frames`
  return [
    `On ${on} it is followed, but known no better than to ${Number(worst.spreadPx.toPrecision(2))} px at its ends (frame ${worst.frame}): what is seen of it lies at one end, along a line, or does not go as one. An element near what is seen stands better; else draw the region about more texture.`,
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
