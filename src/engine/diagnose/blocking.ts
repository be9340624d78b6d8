/**
 * Blocks left by compression: steps across the lines of an 8×8 grid against the steps elsewhere.
 *
 *   step(x) = |y(x) − y(x−1)| − (|y(x−1) − y(x−2)| + |y(x+1) − y(x)|)/2, at least 0, over places without real edges
 *   blocks = Σ step at x ≡ 0 (mod 8) / (mean of Σ step at the other seven)
 *
 * Horizontally and vertically; the lower of both must speak. Decoders that smooth their grid leave little to see: silence is
 * no proof of a mild compression. Limits are a choice. Source: common practice.
 */
import type { Plane } from '../../core/index.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Still } from './still.js'

const CODE = 'diagnose.blocks'
const METHOD = 'steps across an 8×8 grid against steps elsewhere'
const FAULT = 1.6

/** @param every only every so many-th line across and down: a quick look */
export function blockingFinding(stills: readonly Still[], every = 1): Finding {
  const frames = stills.map((s) => s.frame)
  const across = new Float64Array(8)
  const down = new Float64Array(8)
  let looked = 0
  for (const { native } of stills) {
    const plane = native.planes[native.layout.family === 'yuv' ? 0 : 1]
    if (plane === undefined || native.layout.float) continue
    const limit = 24 * 2 ** (native.layout.bits - 8)
    looked += (plane.width * plane.height * 2 ** (native.layout.bits - 8)) / every
    steps(plane, 1, plane.width, limit, every, across)
    steps(plane, plane.width, plane.height, limit, every, down)
  }
  const [a, d] = [grid(across), grid(down)]
  if (a === undefined || d === undefined)
    return cannotTell(CODE, 'The picture has no texture in which a grid would show.', METHOD, frames)
  const ratio = Math.min(a, d)
  // Mean height of what the grid adds, in codes of 8 bits: its lines are an eighth of all.
  const excess = (sums: Float64Array, r: number) => (8 * (sums[0] as number) * (1 - 1 / r)) / looked
  const height = Math.min(excess(across, a), excess(down, d))
  const numbers = { across: rounded(a), down: rounded(d), height: rounded(height) }
  const base = { code: CODE, frames, method: METHOD, numbers }
  if (ratio > FAULT)
    return {
      ...base,
      verdict: 'fault',
      sentence: `Compression blocks show: steps on its 8×8 grid are ${ratio.toFixed(1)} times those elsewhere.`,
      remedy: 'Ask for the original or a milder compression; else use it small, soft or in quick motion.',
      confidence: ratio > 2 ? 0.9 : 0.75,
    }
  if (ratio > 1.3)
    return cannotTell(
      CODE,
      `A faint 8×8 grid (${ratio.toFixed(2)} times): compression or the picture itself.`,
      METHOD,
      frames,
      numbers,
    )
  return { ...base, verdict: 'fine', sentence: 'No grid of compression blocks shows.', confidence: 0.7 }
}

/** Adds the steps along one direction: `stride` to the next sample of `length` in a line. */
function steps(
  p: Plane,
  stride: number,
  length: number,
  limit: number,
  every: number,
  sums: Float64Array,
): void {
  const lines = (p.width * p.height) / length
  const lineStride = stride === 1 ? p.width : 1
  const d = p.data
  for (let l = 0; l < lines; l += every) {
    for (let x = 2; x + 1 < length; x++) {
      const i = l * lineStride + x * stride
      const [v0, v1, v2, v3] = [d[i - 2 * stride], d[i - stride], d[i], d[i + stride]] as [
        number,
        number,
        number,
        number,
      ]
      const step = Math.abs(v2 - v1)
      if (step > limit) continue
      const over = step - (Math.abs(v1 - v0) + Math.abs(v3 - v2)) / 2
      if (over > 0) sums[x & 7] = (sums[x & 7] as number) + over
    }
  }
}

function grid(sums: Float64Array): number | undefined {
  let others = 0
  for (let k = 1; k < 8; k++) others += sums[k] as number
  return others === 0 ? undefined : (sums[0] as number) / (others / 7)
}
