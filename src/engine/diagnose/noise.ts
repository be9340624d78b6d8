/**
 * Noise in code values against level, and how it goes with level.
 *
 * Blocks of 8×8 luma samples: mean square of the second difference both ways, [1 −2 1]ᵀ[1 −2 1] / 6, which a smooth texture
 * hardly touches ([immerkaer1996]); or half of that of the difference to the next frame where it is less and not frozen. In each
 * sixteenth of the signal the flattest fifth is believed.
 *
 *   slope = d ln σ / d y        y luma, 0 black, 1 white
 *
 * Light's own noise is σ² = a·L + b. A camera gamma near ½ turns it into an even σ (slope about 0); a log or PQ curve presses
 * it together towards the lights (slope −3 to −6): [emva1288] for the noise, the slope by the curves' derivatives.
 */
import type { RangeName, Samples } from '../../core/index.js'
import { quantile, sorted } from '../../core/index.js'
import { scaleOf } from './codes.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Still } from './still.js'

const SIZE = 8
const BINS = 16
const LEAST = 24
/** Mean of the variance over its own 20 % quantile, for about 35 effective degrees of freedom (χ²). */
const BIAS = 1.25

export interface NoiseLook {
  /** One a bin that has enough flat blocks. */
  readonly levels: readonly number[]
  /** Share of the signal from black to white. */
  readonly sigma: readonly number[]
  /** Absent where too few levels or no noise at all make it unknown. */
  readonly slope?: number
}

/** @param bits that the picture really uses, where they are fewer than the file has: its rounding is coarser than the file's */
export function lookAtNoise(stills: readonly Still[], range: RangeName, bits?: number): NoiseLook {
  const bins: number[][] = Array.from({ length: BINS }, () => [])
  let quantum = 0
  for (const still of stills) {
    const { layout } = still.native
    const scale = layout.float ? { black: 0, span: 1 } : scaleOf(range, layout.bits)
    quantum = layout.float ? 0 : 1 / scaleOf(range, bits ?? layout.bits).span
    blocks(still, scale, (level, variance) => {
      const bin = Math.floor(level * BINS)
      if (bin >= 0 && bin < BINS) bins[bin]?.push(variance)
    })
  }
  const levels: number[] = []
  const sigma: number[] = []
  // Rounding to whole codes adds q²/12.
  const floor = (quantum * quantum) / 12
  bins.forEach((values, b) => {
    if (values.length < LEAST) return
    levels.push((b + 0.5) / BINS)
    sigma.push(Math.sqrt(Math.max(BIAS * quantile(sorted(values), 0.2) - floor, 0)))
  })
  const slope = slopeOf(levels, sigma, 0.35 * quantum)
  return { levels, sigma, ...(slope === undefined ? {} : { slope }) }
}

export function noiseFinding(look: NoiseLook, frames: readonly number[]): Finding {
  const code = 'diagnose.noise'
  const method = `flattest fifth of blocks of ${SIZE} px at each level`
  if (look.levels.length === 0)
    return cannotTell(code, 'No level has enough flat places to see the noise.', method, frames)
  const codes = look.sigma.map((s) => s * 255)
  const most = Math.max(...codes)
  const at = look.levels[codes.indexOf(most)] as number
  return {
    code,
    verdict: 'fine',
    sentence:
      most < 0.05
        ? 'In its flattest places no noise can be seen: it was taken out, or never there.'
        : `Noise is at most ${most.toPrecision(2)} codes of 255 (one σ), at ${Math.round(100 * at)} % signal.`,
    confidence: 0.7,
    frames,
    method,
    numbers: {
      levels: look.levels.map(rounded),
      sigma: look.sigma.map(rounded),
      slope: look.slope === undefined ? 'unknown' : rounded(look.slope),
    },
  }
}

function slopeOf(levels: readonly number[], sigma: readonly number[], least: number): number | undefined {
  const points = levels.flatMap((x, i) => {
    const s = sigma[i] as number
    return x > 0.06 && x < 0.9 && s > least ? [{ x, y: Math.log(s) }] : []
  })
  const first = points[0]
  const last = points.at(-1)
  if (first === undefined || last === undefined || points.length < 4 || last.x - first.x < 0.2)
    return undefined
  const mx = points.reduce((s, p) => s + p.x, 0) / points.length
  const my = points.reduce((s, p) => s + p.y, 0) / points.length
  let xy = 0
  let xx = 0
  for (const p of points) {
    xy += (p.x - mx) * (p.y - my)
    xx += (p.x - mx) ** 2
  }
  return xy / xx
}

/** Luma, or green where there is none. */
function blocks(
  { native, after }: Still,
  { black, span }: { black: number; span: number },
  tell: (level: number, variance: number) => void,
): void {
  const index = native.layout.family === 'yuv' ? 0 : 1
  const plane = native.planes[index]
  if (plane === undefined) return
  const { width: w, data } = plane
  const next = after?.planes[index]?.data
  for (let y = 1; y + SIZE < plane.height; y += SIZE) {
    for (let x = 1; x + SIZE < w; x += SIZE) {
      let [sum, spatial, temporal] = [0, 0, 0]
      for (let v = y; v < y + SIZE; v++) {
        for (let i = v * w + x; i < v * w + x + SIZE; i++) {
          sum += data[i] as number
          const own = curvature(data, i, w)
          spatial += own * own
          if (next !== undefined) temporal += (own - curvature(next, i, w)) ** 2 / 2
        }
      }
      const n = SIZE * SIZE
      const best = next !== undefined && temporal < spatial && temporal > 0.1 * spatial ? temporal : spatial
      tell((sum / n - black) / span, best / (36 * n * span * span))
    }
  }
}

/** Second difference along both directions: 36 σ² on white noise, 0 on any plane and on any straight upright or level edge. */
function curvature(d: Samples, i: number, w: number): number {
  const row = (k: number) => (d[k - 1] as number) - 2 * (d[k] as number) + (d[k + 1] as number)
  return row(i - w) - 2 * row(i) + row(i + w)
}
