/**
 * Noise in code values against level, and how it goes with level.
 *
 * Blocks of 8×8 luma samples: variance about the plane that fits best, or half the variance of the difference to the next
 * frame where that is less and not frozen. In each sixteenth of the signal the flattest fifth is believed.
 *
 *   slope = d ln σ / d y        y luma, 0 black, 1 white
 *
 * Light's own noise is σ² = a·L + b. A camera gamma near ½ turns it into an even σ (slope about 0); a log or PQ curve presses
 * it together towards the lights (slope −3 to −6): [emva1288] for the noise, the slope by the curves' derivatives.
 */
import type { NativeFrame, RangeName } from '../../core/index.js'
import { quantile, sorted } from '../../core/index.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { Still } from './still.js'

const SIZE = 8
const BINS = 16
const LEAST = 24
/** Mean of the variance over its own 20 % quantile, for 61 degrees of freedom (χ²). */
const BIAS = 1.18

export interface NoiseLook {
  /** One a bin that has enough flat blocks. */
  readonly levels: readonly number[]
  /** Share of the signal from black to white. */
  readonly sigma: readonly number[]
  /** Absent where too few levels or no noise at all make it unknown. */
  readonly slope?: number
}

export function lookAtNoise(stills: readonly Still[], range: RangeName): NoiseLook {
  const bins: number[][] = Array.from({ length: BINS }, () => [])
  let quantum = 0
  for (const still of stills) {
    const scale = scaleOf(still.native, range)
    quantum = 1 / scale.span
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
    sentence: `Noise is at most ${most.toPrecision(2)} codes of 255 (one σ), at ${Math.round(100 * at)} % signal.`,
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

function scaleOf({ layout }: NativeFrame, range: RangeName): { black: number; span: number } {
  if (layout.float) return { black: 0, span: 1 }
  const unit = 2 ** (layout.bits - 8)
  return range === 'limited'
    ? { black: 16 * unit, span: 219 * unit }
    : { black: 0, span: 2 ** layout.bits - 1 }
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
  const next = after?.planes[index]
  const own = new Float64Array(SIZE * SIZE)
  const change = new Float64Array(SIZE * SIZE)
  for (let y = 0; y + SIZE <= plane.height; y += SIZE) {
    for (let x = 0; x + SIZE <= plane.width; x += SIZE) {
      let sum = 0
      for (let v = 0; v < SIZE; v++) {
        for (let u = 0; u < SIZE; u++) {
          const at = (y + v) * plane.width + x + u
          const value = ((plane.data[at] as number) - black) / span
          sum += value
          own[v * SIZE + u] = value
          if (next !== undefined) change[v * SIZE + u] = value - ((next.data[at] as number) - black) / span
        }
      }
      const spatial = aboutPlane(own)
      const temporal = next === undefined ? spatial : aboutPlane(change) / 2
      const best = temporal < spatial && temporal > 0.1 * spatial ? temporal : spatial
      tell(sum / (SIZE * SIZE), best)
    }
  }
}

/** Variance about the best plane of a block. */
function aboutPlane(b: Float64Array): number {
  const middle = (SIZE - 1) / 2
  let s = 0
  let sx = 0
  let sy = 0
  let ss = 0
  let qq = 0
  for (let i = 0; i < b.length; i++) {
    const v = b[i] as number
    const dx = (i % SIZE) - middle
    const dy = Math.floor(i / SIZE) - middle
    s += v
    ss += v * v
    sx += v * dx
    sy += v * dy
    qq += dx * dx
  }
  const n = b.length
  return Math.max((ss - (s * s) / n - (sx * sx) / qq - (sy * sy) / qq) / (n - 3), 0)
}
