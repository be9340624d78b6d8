/**
 * Where the sensor ends: an element is no brighter than the plate's own clipped light, and fire burns out where that does.
 *
 *   beyond-clip   light of the element above 1.05 × the level at which the plate's channel ends, where the plate's own is not
 *   early-clip    a flat pile of an emitter's light below 0.8 × that level
 *
 * Only of channels that end somewhere in the plate. Emitters alone burn out: a white card is flat by itself. Light that is
 * delivered as light keeps what lies beyond. Limits: choices. Source: [emva1288] for saturation.
 */
import { median, quantile, type Region, type Rgb, told } from '../../../core/index.js'
import {
  type Comparison,
  cannotTell,
  regionWhere,
  type Seen,
  type SeenElement,
  stops,
  type Verdict,
} from '../../compare.js'
import { measureClip } from './measure.js'

const BEYOND = 1.05
const EARLY = 0.8
const LEAST_PIXELS = 40
const LEAST_COVER = 0.05
const LEAST_LIGHT = 0.02
/** Of the pile's level, as in `measure.ts`. */
const PILE = 0.985
const NAMES = ['red', 'green', 'blue'] as const

interface End {
  readonly channel: 0 | 1 | 2
  readonly level: number
  readonly region: Region
}

export interface LimitLook {
  readonly frame: number
  readonly beyond: End | undefined
  readonly early: End | undefined
}

/** @param clip linear, by channel; Infinity ends nowhere */
export function lookAtLimits(seen: Seen, e: SeenElement, clip: Rgb, emits: boolean): LimitLook {
  const { width, height } = seen.plate.region
  const mine = (p: number) => (e.alpha[p] as number) > LEAST_COVER || (e.light[p] as number) > LEAST_LIGHT
  const ends = ([0, 1, 2] as const).filter((c) => Number.isFinite(clip[c]))
  const endOf = (c: 0 | 1 | 2, pass: (p: number) => boolean): End | undefined => {
    const levels: number[] = []
    for (let p = 0; p < width * height; p++) if (pass(p)) levels.push(seen.rendered.data[4 * p + c] as number)
    if (levels.length < LEAST_PIXELS) return undefined
    return {
      channel: c,
      level: quantile(Float64Array.from(levels).sort(), 0.5),
      region: regionWhere(width, height, pass),
    }
  }
  const beyond = ends.flatMap((c) => {
    const most = BEYOND * clip[c]
    const above = (p: number) =>
      mine(p) &&
      (seen.rendered.data[4 * p + c] as number) > most &&
      (seen.plate.data[4 * p + c] as number) <= most
    return endOf(c, above) ?? []
  })
  const far = (a: End) => a.level / clip[a.channel]
  return {
    frame: seen.frame,
    beyond: beyond.sort((a, b) => far(b) - far(a))[0],
    early: emits ? earlyEnd(seen, mine, ends, endOf, clip) : undefined,
  }
}

function earlyEnd(
  seen: Seen,
  mine: (p: number) => boolean,
  ends: readonly (0 | 1 | 2)[],
  endOf: (c: 0 | 1 | 2, pass: (p: number) => boolean) => End | undefined,
  clip: Rgb,
): End | undefined {
  const data = seen.renderedCode.data.map((v, i) => (mine(i >> 2) ? v : 0))
  const found = measureClip([{ frame: seen.frame, code: { region: seen.renderedCode.region, data } }])
  if (!told(found)) return undefined
  const piles = ends.flatMap((c) => {
    const level = PILE * found.value[c]
    return endOf(c, (p) => mine(p) && (data[4 * p + c] as number) >= level) ?? []
  })
  return piles.find(({ channel, level }) => level < EARLY * clip[channel])
}

/** @param why nothing is known of the sensor's ends; undefined where it is */
export function compareLimits(
  name: string,
  looks: readonly LimitLook[],
  clip: Rgb,
  why: string | undefined,
): Comparison {
  if (why !== undefined) return cannotTell('beyond-clip', 'sensor', why)
  const verdicts = [verdict(name, looks, clip, 'beyond'), verdict(name, looks, clip, 'early')]
  return { verdicts: verdicts.filter((v) => v !== undefined), undecided: [], measured: {} }
}

function verdict(
  name: string,
  looks: readonly LimitLook[],
  clip: Rgb,
  kind: 'beyond' | 'early',
): Verdict | undefined {
  const found = looks.flatMap(({ frame, [kind]: end }) => (end === undefined ? [] : [{ frame, end }]))
  if (found.length === 0 || found.length < looks.length / 2) return undefined
  const { end } = found[Math.floor(found.length / 2)] as (typeof found)[0]
  const measured = median(found.filter((f) => f.end.channel === end.channel).map((f) => f.end.level))
  const [expected, colour] = [clip[end.channel], NAMES[end.channel]]
  const over = kind === 'beyond'
  const apart = stops(Math.log2(measured / expected))
  return {
    tell: over ? 'beyond-clip' : 'early-clip',
    link: 'sensor',
    frames: found.map((f) => f.frame),
    region: end.region,
    unit: 'linear',
    measured,
    expected,
    limit: (over ? BEYOND : EARLY) * expected,
    confidence: 0.7,
    sentence: over
      ? `${name} is ${apart} brighter in ${colour} than the plate's sensor holds.`
      : `${name} burns out ${apart} below where the plate does, in ${colour}: a flat patch where the plate's own light would still rise.`,
    cause: over
      ? "The element's light was never held to the end of the plate's sensor."
      : "The element's own file was clipped, and its core was not rebuilt or came out too dark.",
    remedy: over
      ? 'Fit again, so that sensor.clip is known, or set it.'
      : 'Fit again (source.ceiling rebuilds the core of what shines on black), raise light.exposure, or use a take with its highlights.',
    contrast: Math.abs(Math.log2(measured / expected)) / Math.abs(Math.log2(over ? BEYOND : EARLY)),
  }
}
