/**
 * A camera's curve from patches of known light: code = f(log₂ light), a smooth rising f a channel.
 *
 * This is the recovery of [debevec1997] with the exposures known, written in the camera's own direction: the noise is
 * in the codes, and the end of a curve that flattens says how little it knows instead of shooting up. A sample counts
 * only where the curve still moves: what stands at the top of the codes, rises by less than 0.4 % a stop at either end,
 * or stays within two 8-bit steps of the end over three quarters of a stop, is clipped or lost.
 *
 * Confidence 0.95·e^(−s / 0.25), s the median spread in stops over the table, the worst channel (common practice: a
 * quarter of a stop is what an artist sees at once).
 */
import { median, type Reading, type Rgb } from '../../core/index.js'
import type { Response, ResponseChannel } from './curve.js'
import { fitSpline } from './spline.js'

/** Codes seen under a known light. */
export interface ResponseSample {
  /** Linear light a channel, diffuse white = 1, above 0. */
  readonly light: Rgb
  /** Code values R′ G′ B′, nominal 0…1: means over a patch. */
  readonly code: Rgb
}

export interface ResponseOptions {
  /** Frames that the codes were read from, for the evidence. */
  readonly frames: readonly number[]
  /** What was looked at, for the evidence. */
  readonly method: string
  /** Code at and above which a channel clips; 0.995 when absent. */
  readonly clip?: number
}

const LEAST_SAMPLES = 5
const LEAST_STOPS = 3
const LEAST_SLOPE = 0.004
const PLATEAU_CODE = 2 / 255
const PLATEAU_STOPS = 0.75
const KNOT = 0.5
const ROW = 0.125
/** A patch's mean is never known better than a quarter of an 8-bit step. */
const NOISE_FLOOR = 0.25 / 255
const DISAGREE = 0.03

/**
 * The curve of the three channels.
 *
 * Cannot tell: fewer than five usable samples or three stops between them in a channel, or samples that no rising curve
 * meets within 3 % of the codes.
 */
export function fitResponse(samples: readonly ResponseSample[], options: ResponseOptions): Reading<Response> {
  const channels: ResponseChannel[] = []
  for (const [c, name] of ['red', 'green', 'blue'].entries()) {
    const found = fitChannel(
      samples.map(({ light, code }) => ({
        x: Math.log2(light[c] as number),
        y: code[c] as number,
        weight: 1,
      })),
      options.clip ?? 0.995,
    )
    if ('cannotTell' in found) return { cannotTell: `${name}: ${found.cannotTell}` }
    channels.push(found)
  }
  const spread = Math.max(...channels.map(({ spreads }) => median(spreads)))
  return {
    value: [channels[0] as ResponseChannel, channels[1] as ResponseChannel, channels[2] as ResponseChannel],
    evidence: {
      kind: 'measured',
      frames: options.frames,
      method: options.method,
      spread: rounded(spread),
      confidence: Number((0.95 * Math.exp(-spread / 0.25)).toFixed(2)),
    },
  }
}

interface Sample {
  readonly x: number
  readonly y: number
  readonly weight: number
}

function fitChannel(all: readonly Sample[], clip: number): ResponseChannel | { readonly cannotTell: string } {
  const usable = unclipped(merged(all.filter(({ x, y }) => Number.isFinite(x) && Number.isFinite(y))), clip)
  const from = usable[0]?.x ?? 0
  const to = usable.at(-1)?.x ?? 0
  if (usable.length < LEAST_SAMPLES || to - from < LEAST_STOPS) {
    const have = `${usable.length} over ${Math.max(to - from, 0).toFixed(1)} stops`
    return {
      cannotTell: `a curve needs ${LEAST_SAMPLES} exposures over ${LEAST_STOPS} stops that are neither clipped nor lost in black; there are ${have}`,
    }
  }
  const curve = fitSpline(usable, from, to, KNOT, NOISE_FLOOR)
  if (curve.residual > DISAGREE) {
    return {
      cannotTell: `the exposures do not agree on one rising curve: they lie ${(100 * curve.residual).toFixed(1)} % of the codes off it`,
    }
  }
  const codes: number[] = []
  const lights: number[] = []
  const spreads: number[] = []
  const rows = Math.ceil((to - from) / ROW)
  for (let i = 0; i <= rows; i++) {
    const x = from + ((to - from) * i) / rows
    const code = rounded(curve.value(x))
    const slope = curve.slope(x)
    if (slope <= 0 || code <= (codes.at(-1) ?? Number.NEGATIVE_INFINITY)) continue
    codes.push(code)
    lights.push(rounded(2 ** x))
    spreads.push(rounded(curve.spread(x) / slope))
  }
  return { codes, lights, spreads, residual: rounded(curve.residual), samples: usable.length }
}

/** Six significant digits: what a document holds, and the same on every machine. */
function rounded(v: number): number {
  return Number(v.toPrecision(6))
}

/** By rising light; samples of the same light become their mean. */
function merged(samples: readonly Sample[]): readonly Sample[] {
  const out: Sample[] = []
  for (const s of [...samples].sort((a, b) => a.x - b.x)) {
    const last = out.at(-1)
    if (last === undefined || s.x - last.x > 1e-6) {
      out.push(s)
      continue
    }
    const weight = last.weight + s.weight
    out[out.length - 1] = { x: last.x, y: (last.y * last.weight + s.y * s.weight) / weight, weight }
  }
  return out
}

/**
 * Without what is clipped above or lost below: ends where neighbours stand still, then whole plateaus, by which noise
 * is not taken for light.
 */
function unclipped(samples: readonly Sample[], clip: number): readonly Sample[] {
  const flat = (i: number) => {
    const [a, b] = [samples[i] as Sample, samples[i + 1] as Sample]
    return b.y - a.y < LEAST_SLOPE * (b.x - a.x)
  }
  let low = 0
  let high = samples.length - 1
  while (high > low && flat(high - 1)) high--
  // The first sample of a plateau may itself stand above it in light.
  if (high < samples.length - 1) high--
  while (high >= low && (samples[high] as Sample).y >= clip) high--
  while (low < high && flat(low)) low++
  const rest = samples.slice(low, high + 1)
  const top = plateau(rest, Math.max(...rest.map(({ y }) => y)))
  const bottom = plateau(rest, Math.min(...rest.map(({ y }) => y)))
  return rest.filter((s) => !top.has(s) && !bottom.has(s))
}

/** The samples that stand at a level, where they do so over a good part of a stop. */
function plateau(samples: readonly Sample[], level: number): ReadonlySet<Sample> {
  const near = samples.filter(({ y }) => Math.abs(y - level) < PLATEAU_CODE)
  const span = (near.at(-1)?.x ?? 0) - (near[0]?.x ?? 0)
  return new Set(span >= PLATEAU_STOPS ? near : [])
}
