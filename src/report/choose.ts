/** Which frame the report shows. */
import type { CheckResult, Tell } from '../engine/types.js'
import { distance } from './pictures.js'
import type { Roll } from './roll.js'
import type { Look, Picture } from './types.js'

/** Frames that are tried for the one that the page shows. */
const SAMPLES = 9

/** Tells that speak, heaviest first, and those that are meant. */
export function sortTells(check: CheckResult): { speaking: Tell[]; meant: Tell[] } {
  return { speaking: check.tells.filter((t) => !t.meant), meant: check.tells.filter((t) => t.meant) }
}

/** `wanted` when it lies in the tell's range; else the frame looked at that is nearest the range's middle. */
export function frameOf(tell: Tell, check: CheckResult, wanted: number): number {
  if (shows(tell, wanted)) return wanted
  const [first, last] = tell.frames
  const middle = Math.floor((first + last) / 2)
  const looked = check.framesLookedAt.filter((f) => f >= first && f <= last)
  return looked.reduce(
    (best, f) => (Math.abs(f - middle) < Math.abs(best - middle) ? f : best),
    looked[0] ?? middle,
  )
}

/** Whether the tell is there on this frame. */
export function shows({ frames: [first, last] }: Tell, frame: number): boolean {
  return frame >= first && frame <= last
}

/** The frame on which the effect shows most: where the result differs most from the plate. */
export async function heroFrame(check: CheckResult, roll: Roll): Promise<number> {
  let best = { frame: 0, distance: -1 }
  for (const frame of samples(check, roll.frameCount)) {
    const plate = await roll.look('plate', frame)
    const result = await roll.look('result', frame)
    const whole = { x: 0, y: 0, width: plate.width, height: plate.height }
    const d = distance(plate.view(whole), result.view(whole))
    if (d > best.distance) best = { frame, distance: d }
  }
  return best.frame
}

function samples(check: CheckResult, frameCount: number): number[] {
  const all =
    check.framesLookedAt.length > 0 ? check.framesLookedAt : [...Array(Math.max(1, frameCount)).keys()]
  if (all.length <= SAMPLES) return [...all]
  return Array.from(
    { length: SAMPLES },
    (_, i) => all[Math.round((i * (all.length - 1)) / (SAMPLES - 1))] as number,
  )
}

const DARKEST = -5
/** Middle of the displayed values that a picture may have at most: a little above that of middle grey, 118. */
const MIDDLE = 132

/** Stops, 0 or less in halves, that bring a picture which is mostly above diffuse white to where it can be judged. */
export function viewingStops(look: Look): number {
  const whole = { x: 0, y: 0, width: look.width, height: look.height }
  for (let stops = 0; stops > DARKEST; stops -= 0.5) {
    if (middleOf(look.view(whole, { stops })) <= MIDDLE) return stops
  }
  return DARKEST
}

function middleOf(p: Picture): number {
  const counts = new Uint32Array(256)
  for (const v of p.rgb) counts[v] = (counts[v] as number) + 1
  let level = 0
  for (
    let seen = counts[0] as number;
    level < 255 && 2 * seen < p.rgb.length;
    seen += counts[level] as number
  )
    level++
  return level
}
