/**
 * Banding: gradients that go up in stairs. A stair is a tread of at least `TREAD` samples that are alike, then a jump within
 * `RISER` samples to the next such tread, the same way; at least three jumps one after the other make a staircase.
 *
 *   share = samples on staircases / samples      step = mean height of the jumps, in codes of 8 bits
 *
 * Alike: within half a jump's least height. Noise of half a code breaks every tread; a real edge is no tread's neighbour three times
 * the same way. Steps of one code with eight bits are what the format itself leaves of a gradient without noise: they are said, and
 * are a fault only over much of a picture. Jumps on a codec's grid are blocks. Looked at along lines and columns. Limits are a choice; tested on made gradients.
 */
import type { NativeFrame, Samples } from '../../core/index.js'
import { percent } from '../words.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Still } from './still.js'

const CODE = 'diagnose.banding'
const METHOD = 'treads and jumps of smooth gradients along lines and columns'
const TREAD = 8
const RISER = 2
/** Heights of a jump, in codes of 8 bits. */
const [LOWEST, HIGHEST] = [0.7, 7]
/** Share of the picture from which coarse steps are a fault, and from which the finest are. */
const [MUCH, VERY] = [0.01, 0.08]
/** Share of the jumps on an 8×8 grid (chance: 1 in 8) from which they are a codec's blocks. */
const GRID = 0.4

interface Stairs {
  /** Samples on staircases. */
  on: number
  looked: number
  jumps: number
  height: number
  /** Jumps on the lines of an 8×8 grid. */
  onGrid: number
}

export function bandingFinding(stills: readonly Still[]): Finding {
  const frames = stills.map((s) => s.frame)
  const first = stills[0]?.native.layout
  if (first === undefined || first.float)
    return cannotTell(CODE, 'Float samples have no steps.', METHOD, frames)
  if (first.alpha)
    return cannotTell(CODE, 'An element with alpha may hold drawn gradients: not judged.', METHOD, frames)
  const sum: Stairs = { on: 0, looked: 0, jumps: 0, height: 0, onGrid: 0 }
  for (const { native } of stills) stairsOf(native, sum)
  const share = sum.looked === 0 ? 0 : sum.on / sum.looked
  const step = sum.jumps === 0 ? 0 : sum.height / sum.jumps
  const numbers = { share: rounded(share), step: rounded(step) }
  const base = { code: CODE, frames, method: METHOD, numbers }
  if (share > MUCH && sum.onGrid > GRID * sum.jumps)
    return cannotTell(
      CODE,
      'What steps there are lie on an 8×8 grid: blocks, not bands.',
      METHOD,
      frames,
      numbers,
    )
  const coarse = step > 1.4 || (first.bits > 8 && step >= LOWEST)
  if (share > (coarse ? MUCH : VERY))
    return {
      ...base,
      verdict: 'fault',
      sentence: `Smooth gradients go up in steps of ${step.toFixed(1)} codes (of 255) over ${percent(share)} of the picture: bands will show when it is graded.`,
      remedy:
        'Export it again from its source with 10 bits or more, or with a little noise over the gradients; what is in this file cannot be smoothed without loss.',
      confidence: coarse ? (share > 4 * MUCH ? 0.85 : 0.7) : 0.6,
    }
  return {
    ...base,
    verdict: 'fine',
    sentence:
      share > MUCH
        ? `Some gradients step by one code over ${percent(share)} of the picture, as fine as 8 bits can: noise is missing there.`
        : 'No gradient shows bands.',
    confidence: 0.7,
  }
}

function stairsOf({ planes, layout }: NativeFrame, sum: Stairs): void {
  const plane = planes[layout.family === 'yuv' ? 0 : 1]
  if (plane === undefined) return
  const unit = 2 ** (layout.bits - 8)
  const { width: w, height: h, data } = plane
  // One line in four tells as much as all.
  for (let y = 0; y < h; y += 4) climb(data, y * w, 1, w, unit, sum)
  for (let x = 0; x < w; x += 4) climb(data, x, w, h, unit, sum)
}

/** Adds the staircases of one line: `length` samples from `start`, `stride` apart. */
function climb(d: Samples, start: number, stride: number, length: number, unit: number, sum: Stairs): void {
  const alike = 0.6 * unit
  const [lowest, highest] = [LOWEST * unit, HIGHEST * unit]
  sum.looked += length
  // The staircase so far: its samples, jumps, their heights, its way, and where its last tread ended at which level.
  let [on, jumps, height, onGrid, way, end, level] = [0, 0, 0, 0, 0, -1, 0]
  const close = () => {
    if (jumps >= 3) {
      sum.on += on
      sum.jumps += jumps
      sum.height += height
      sum.onGrid += onGrid
    }
    jumps = 0
    height = 0
    onGrid = 0
  }
  for (let x = 0; x < length; ) {
    let low = d[start + x * stride] as number
    let high = low
    let total = 0
    let n = 0
    for (let k = x; k < length; k++) {
      const v = d[start + k * stride] as number
      if (v < low) low = v
      if (v > high) high = v
      if (high - low > alike) break
      total += v
      n++
    }
    if (n < TREAD) {
      x++
      continue
    }
    const mean = total / n
    const jump = mean - level
    // A ramp that is only finer than a tread's tolerance has no step between its last sample and the next tread's first.
    const step =
      end < 0 ? 0 : Math.abs((d[start + x * stride] as number) - (d[start + (end - 1) * stride] as number))
    const sharp = step > 0.6 * Math.abs(jump)
    const rise = Math.abs(jump)
    const joined = end >= 0 && x - end <= RISER && sharp && rise >= lowest && rise <= highest
    if (joined && (jumps === 0 || Math.sign(jump) === way)) {
      jumps++
      height += rise / unit
      if (x % 8 === 0) onGrid++
      on += n
    } else {
      close()
      on = n
      if (joined) {
        jumps = 1
        height = rise / unit
        onGrid = x % 8 === 0 ? 1 : 0
      }
    }
    way = joined ? Math.sign(jump) : 0
    end = x + n
    level = mean
    x += n
  }
  close()
}
