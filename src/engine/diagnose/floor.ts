/**
 * Black of a file on black: its level and noise a channel, in light and in codes; lifted, below black, or cut off.
 *
 *   code = black + encode(light) · span       σ in codes = (encode(floor + σ) − encode(floor)) · span
 *
 * Cut off (crushed) is a black without any noise beside places just above it that have some: blocks of up to 5 % of white whose
 * rest, after their slope is taken off, is white noise (neighbours unlike each other: a texture is not). Limits are choices.
 */
import { type FloorMeasure, measureFloor } from '../../chain/source/floor/measure.js'
import { curveOf } from '../../colour/index.js'
import { type FloatImage, median, type Rgb, told } from '../../core/index.js'
import { blockStats } from '../../kernels/index.js'
import type { SourceInfo } from '../../media/index.js'
import { percent } from '../words.js'
import { cannotTell, type Finding, rounded } from './finding.js'

const CODE = 'diagnose.floor'
const METHOD = 'darkest fifth of blocks of 8 px'
/** Light of a floor that veils a plate, and noise of a floor that is none; both in shares of white. */
const LIFTED = 0.002
const DIM = 0.05
/** Fewest blocks just above black that say something of its noise. */
const FEWEST = 12
const ZERO: Rgb = [0, 0, 0]

/** Floor and noise, 0 where there is too little to measure, and the greatest light beyond the floor. */
export function floorOf(
  images: readonly FloatImage[],
  frames: readonly number[],
): FloorMeasure & { readonly peak: number } {
  const found = measureFloor(images, frames)
  const { floor, noise } = told(found) ? found.value : { floor: ZERO, noise: ZERO }
  let peak = 0
  for (const { data } of images)
    for (let i = 0; i < data.length; i += 4)
      for (let c = 0; c < 3; c++) {
        const v = (data[i + c] as number) - (floor[c] as number)
        if (v > peak) peak = v
      }
  return { floor, noise, peak }
}

type Coding = Pick<SourceInfo, 'encoding' | 'layout'>

/** @param images opaque linear light */
export function floorFinding(
  images: readonly FloatImage[],
  frames: readonly number[],
  info: Coding,
): Finding {
  const found = measureFloor(images, frames)
  if (!told(found)) return cannotTell(CODE, found.cannotTell, METHOD, frames)
  const { floor, noise } = found.value
  const codes = codesOf(floor, noise, info)
  const cut = Math.max(...noise) < 1e-5 ? noiseAbove(images, Math.max(...floor)) : undefined
  const base = {
    code: CODE,
    frames,
    method: METHOD,
    confidence: 'confidence' in found.evidence ? found.evidence.confidence : 0.5,
    numbers: { floor: floor.map(rounded), noise: noise.map(rounded), ...codes?.numbers },
    suggestions: [
      { treatment: 'source.floor' as const, value: floor.map(rounded) },
      { treatment: 'source.floorNoise' as const, value: noise.map(rounded) },
    ],
  }
  const inCodes = codes === undefined ? '' : ` (${codes.words})`
  const most = Math.max(...floor)
  if (most > LIFTED)
    return {
      ...base,
      verdict: 'fault',
      sentence: `Its black is lifted to ${percent(most)} of white, with noise of ${percent(Math.max(...noise))}${inCodes}: it would veil the plate.`,
      remedy:
        'Let --fix write the floor that was measured into the shot document (source.floor): it is taken off before the element is laid over.',
    }
  if (Math.min(...floor) < -LIFTED)
    return {
      ...base,
      verdict: 'fault',
      sentence: `Its black lies below black${inCodes}: it would darken the plate.`,
      remedy:
        'Let --fix write the floor that was measured into the shot document (source.floor), and look whether its range is right.',
    }
  if (cut !== undefined)
    return {
      ...base,
      verdict: 'fault',
      confidence: 0.65,
      sentence: `Its black is cut off${inCodes}: it has no noise at all, while light just above it has ${percent(cut)} of white; whatever was fainter is lost.`,
      remedy:
        'Export it again without crushing its blacks; else use it where its faint edges do not show, before something bright or busy.',
      numbers: { ...base.numbers, noiseAbove: rounded(cut) },
    }
  return { ...base, verdict: 'fine', sentence: `Its black is black${inCodes}.` }
}

function codesOf(floor: Rgb, noise: Rgb, { encoding, layout }: Coding) {
  if (layout.float) return undefined
  const { encode } = curveOf(encoding.curve)
  const limited = encoding.range === 'limited'
  const step = 2 ** (layout.bits - 8)
  const [black, span] = limited ? [16 * step, 219 * step] : [0, 2 ** layout.bits - 1]
  const level = floor.map((v) => black + encode(v) * span)
  const sigma = noise.map((v, c) => (encode((floor[c] as number) + v) - encode(floor[c] as number)) * span)
  const list = (v: readonly number[]) => v.map((x) => x.toFixed(1)).join(', ')
  const quiet = Math.max(...sigma) < 0.05
  return {
    words: `R, G, B at codes ${list(level)} of ${layout.bits} bits where black is ${black}, ${quiet ? 'without noise' : `σ ${list(sigma)}`}`,
    numbers: { codes: level.map(rounded), noiseCodes: sigma.map(rounded) },
  }
}

/** σ of the noise just above black, when there is some and it is white. */
function noiseAbove(images: readonly FloatImage[], black: number): number | undefined {
  const sigmas: number[] = []
  const lags: number[] = []
  for (const image of images) {
    for (const b of blockStats(image, 8)) {
      const level = b.mean[1]
      const sigma = Math.sqrt(b.variance[1])
      // Noise that reaches down to black is cut itself.
      if (level > DIM || level < black + 2 * sigma || level < black + 0.002) continue
      sigmas.push(sigma)
      if (Number.isFinite(b.lagX[1])) lags.push((b.lagX[1] + b.lagY[1]) / 2)
    }
  }
  if (sigmas.length < FEWEST || lags.length < FEWEST) return undefined
  const sigma = median(sigmas)
  return sigma > 0.001 && median(lags) < 0.25 ? sigma : undefined
}
