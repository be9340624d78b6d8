/**
 * Compression blockiness: how much steeper a picture steps at every eighth sample than between them.
 *
 *   D(φ) = mean |p(x) − p(x − 1)| over x ≡ φ mod 8      excess = max over φ of D(φ) / median of the other phases − 1
 *
 * Along x and y, the greater of the two; the phase is searched, since clips are cropped and padded. Places where nothing
 * steps at all (empty black) are left out. Codecs that scale their pictures, or blocks of other sizes, escape.
 *
 * Limits (choices): 5 % is not seen, 25 % shows on soft smoke. Source: [wang2002] for the measure's idea.
 */
import { median, type NativeFrame, type Reading, told } from '../../core/index.js'
import type { Line } from './types.js'
import { cannotTell, judge, percent } from './verdict.js'

const LIMITS = { fine: 0.05, poor: 0.25 }
const BLOCK = 8
/** Steps that a phase needs before its mean says anything. */
const LEAST_STEPS = 2000

/** Pooled over the first plane (luma, or R) of the frames. */
export function measureBlocks(frames: readonly NativeFrame[], numbers: readonly number[]): Reading<number> {
  const across = tally()
  const down = tally()
  for (const f of frames) {
    const plane = f.planes[0]
    if (plane === undefined) continue
    addSteps(across, plane.data, plane.width, plane.height, 1, plane.width)
    addSteps(down, plane.data, plane.height, plane.width, plane.width, 1)
  }
  const both = [excess(across), excess(down)].filter((e) => e !== undefined)
  if (both.length === 0) return { cannotTell: 'too little in it changes from pixel to pixel' }
  return {
    value: Math.max(...both),
    evidence: {
      kind: 'measured',
      frames: [...numbers],
      method: 'steps at every eighth sample against those between',
      confidence: 0.7,
    },
  }
}

interface Tally {
  readonly sum: Float64Array
  readonly count: Float64Array
}

function tally(): Tally {
  return { sum: new Float64Array(BLOCK), count: new Float64Array(BLOCK) }
}

/** Steps along lines of `length` samples `stride` apart; every second line is enough. */
function addSteps(
  t: Tally,
  data: ArrayLike<number>,
  length: number,
  lines: number,
  stride: number,
  nextLine: number,
): void {
  for (let line = 0; line < lines; line += 2) {
    let at = line * nextLine
    let before = data[at] as number
    for (let x = 1; x < length; x++) {
      at += stride
      const here = data[at] as number
      const step = Math.abs(here - before)
      before = here
      if (step === 0) continue
      const phase = x % BLOCK
      t.sum[phase] = (t.sum[phase] as number) + step
      t.count[phase] = (t.count[phase] as number) + 1
    }
  }
}

function excess({ sum, count }: Tally): number | undefined {
  if (Math.min(...count) < LEAST_STEPS) return undefined
  const means = Array.from(sum, (s, i) => s / (count[i] as number))
  const top = Math.max(...means)
  const others = means.filter((_, i) => i !== means.indexOf(top))
  return Math.max(top / median(others) - 1, 0)
}

export function compressionLine(m: Reading<number>): Line {
  if (!told(m)) return cannotTell('compression', m.cannotTell)
  return {
    name: 'compression',
    ...judge(m.value, LIMITS),
    figure: m.value <= LIMITS.fine ? 'no blocks' : `${percent(m.value)} blocks`,
    value: m.value,
    why: `steps at the edges of 8×8 blocks are ${percent(m.value)} steeper than between; up to ${percent(LIMITS.fine)} is fine, up to ${percent(LIMITS.poor)} poor`,
    ...(m.value <= LIMITS.fine ? {} : { remedy: 'get it in a better codec, or stand it smaller' }),
  }
}
