/**
 * Where the whole picture jumps: a cut, lost frames, a knock, another lens. Told when all passages are known, so that each is compared
 * with those before and after it (place/motion/jumps.ts): its shift, its growth and its turn, each by itself, since a zoom that ends
 * hides no shift; and its look.
 *
 * A phone that changes to another lens can keep the picture nearly where it is. Then sharpness changes at once and for good: by more
 * than a codec's key frames do, or with a change of light, which those have not. Blur that comes or goes with a quick move is none.
 *
 * A passage that many places do not make, going on as the picture did before or after, is of a thing that moves before it.
 * The limits are choices, looked at on hand-held, locked-off and zoomed footage.
 */
import { type Numbers, outstanding } from '../../chain/place/motion/jumps.js'
import { inverse, slopeAt } from '../../chain/place/motion/matrix.js'
import type { PictureJump } from '../../chain/place/motion/words.js'
import { median } from '../../core/index.js'
import type { Matrix, Place } from '../../vision/index.js'
import type { Look } from './luma.js'
import { apart, growth, through } from './matrix.js'
import type { Passage } from './scene.js'

/** Share of the picture's width that a jump moves its corners by at the least. */
const LEAST = 0.01
/** Natural logarithms: changes of sharpness that are a jump alone, and with one of light. */
const SHARP = 0.35
const SHARP_TOO = 0.12
const LIGHT = 0.03
/** Natural logarithm: where the light of no ninth changes by more, it is the same picture. */
const OTHER = 0.1
/** Of a change of look, what must be left of it in the medians of so many frames before and after. */
const STAYS = 0.5
const BESIDE = 3
/** Changes of speed that can blur the picture or clear it, share of its width. */
const BLURS = 0.003
/** Places go with a motion that are no farther off it than this share of the picture's width. */
const GOES = 0.004
/** A jump is no jump where half as many places as go with it go on as before or after. */
const GO_ON = 0.5

interface Size {
  readonly width: number
  readonly height: number
}

/** @param passages of both passes, in any order @returns by frame */
export function pictureJumps(passages: readonly Passage[], size: Size): PictureJump[] {
  const ordered = passages.map((p) => (p.from < p.to ? p : reversed(p)))
  const to = new Map(ordered.filter((p) => p.to === p.from + 1).map((p) => [p.to, p]))
  const first = Math.min(...to.keys())
  const steps = Array.from({ length: Math.max(...to.keys()) + 1 - first }, (_, i) => to.get(first + i))
  const parts = steps.map((s) => s?.motion && partsOf(s.motion, size))
  const far = new Set(
    (['shift', 'growth', 'turn'] as const).flatMap((part) =>
      outstanding(
        parts.map((p) => p?.[part]),
        () => LEAST * size.width,
      ).map((o) => o.at),
    ),
  )
  const other = changes(steps, parts, size)
  const jumps = steps.flatMap((step, i) => {
    if (step?.motion === undefined) return []
    if (far.has(i) && !goesOn(step, [steps[i - 1], steps[i + 1]], size)) return [jumpOf(step, 'far', size)]
    return other.has(i) ? [jumpOf(step, 'other', size)] : []
  })
  const all = new Map([...jumps, ...lostIn(ordered, size)].map((j) => [j.frame, j]))
  return [...all.values()].sort((a, b) => a.frame - b.frame)
}

/** From the later frame to the earlier one: the other way about. */
function reversed({ from, to, motion, pairs, looks: [a, b] }: Passage): Passage {
  return {
    ...{ from: to, to: from, motion: motion && inverse(motion), looks: [b, a] },
    pairs: pairs.map(([p, q]) => [q, p]),
  }
}

/** How far the corners go by each part of a motion, root mean square along an axis, px. */
function partsOf(motion: Matrix, { width, height }: Size) {
  const middle: Place = [width / 2, height / 2]
  const [x, y] = through(motion, middle)
  const slope = slopeAt(motion, ...middle)
  const half = Math.sqrt((width ** 2 + height ** 2) / 8)
  return {
    shift: [x - middle[0], y - middle[1]],
    growth: [half * Math.log(growth(slope))],
    turn: [half * Math.atan2(slope[2] - slope[1], slope[0] + slope[3])],
  } satisfies Record<string, Numbers>
}

/** Of most of the picture: what comes before a part of it changes that part alone. */
function changeOf(of: keyof Look, { looks: [a, b] }: Passage): number {
  return median(b[of].map((v, i) => v - (a[of][i] as number)))
}

/** Frames from which on the picture looks as through another lens. */
function changes(
  steps: readonly (Passage | undefined)[],
  parts: readonly (ReturnType<typeof partsOf> | undefined)[],
  { width }: Size,
): ReadonlySet<number> {
  /** From the median of some frames before to that of some after. */
  const rise = (values: readonly (number | undefined)[], i: number) => {
    const level = (v: typeof values) => median(v.filter((x) => x !== undefined))
    return level(values.slice(i, i + BESIDE)) - level(values.slice(Math.max(i - BESIDE, 0), i))
  }
  const lasting = (of: keyof Look, least: number) => {
    const by = steps.map((s) => s && changeOf(of, s))
    let sum = 0
    const all = by.map((v) => (sum += v ?? 0))
    const found = outstanding(
      by.map((v) => (v === undefined ? v : [v])),
      () => least,
    )
    return found.flatMap(({ at }) => {
      const change = by[at] as number
      return rise(all, at) * Math.sign(change) >= STAYS * Math.abs(change) ? [{ at, change }] : []
    })
  }
  const speeds = parts.map((p) => p && Math.hypot(...p.shift, ...p.growth, ...p.turn))
  const lighter = new Set(lasting('light', LIGHT).map(({ at }) => at))
  const alone = ({ at, change }: { at: number; change: number }) => {
    const faster = rise(speeds, at)
    const blur = Math.abs(faster) > BLURS * width && faster * change < 0
    return Math.abs(change) > SHARP && !blur
  }
  const sharper = lasting('sharp', SHARP_TOO)
  return new Set(sharper.filter((s) => lighter.has(s.at) || alone(s)).map(({ at }) => at))
}

/** Whether many places go on as the picture does before or after. */
function goesOn(
  { motion, pairs }: Passage,
  beside: readonly (Passage | undefined)[],
  { width }: Size,
): boolean {
  const going = (m: Matrix) => pairs.filter(([a, b]) => apart(through(m, a), b) < GOES * width).length
  const least = GO_ON * going(motion as Matrix)
  return beside.some((p) => p?.motion !== undefined && going(p.motion) >= least)
}

/** In a picture that holds nothing but noise nothing is found either: another one is lighter or darker somewhere. */
function looksOther({ looks: [a, b] }: Passage): boolean {
  return b.light.some((v, i) => Math.abs(v - (a.light[i] as number)) > OTHER)
}

/** Where the picture is gone, unless it comes back where it was: then something passed before it. */
function lostIn(ordered: readonly Passage[], size: Size): PictureJump[] {
  const gone = ordered.filter((p) => p.motion === undefined && p.to === p.from + 1 && looksOther(p))
  return gone.flatMap((p) => {
    const back = ordered.find((q) => q.motion !== undefined && q.from <= p.from && q.to >= p.to)
    if (back === undefined) return [jumpOf(p, 'gone', size)]
    const { shift, growth: grown, turn } = partsOf(back.motion as Matrix, size)
    const went = Math.hypot(...shift, ...grown, ...turn) > LEAST * size.width * (back.to - back.from)
    return went ? [jumpOf(p, 'gone', size)] : []
  })
}

function jumpOf(passage: Passage, kind: PictureJump['kind'], size: Size): PictureJump {
  const { to, motion } = passage
  const middle: Place = [size.width / 2, size.height / 2]
  return {
    ...{ frame: to, kind },
    way: motion ? apart(through(motion, middle), middle) : 0,
    growth: motion ? growth(slopeAt(motion, ...middle)) : 1,
    sharp: Math.exp(changeOf('sharp', passage)),
    light: Math.exp(changeOf('light', passage)),
  }
}
