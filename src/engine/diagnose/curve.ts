/**
 * Log or HDR codes under the tag of a display or video curve, and video codes under the tag of PQ.
 *
 * A log curve lifts black (its code for no light is 0.09 to 0.15, [sony-slog3], [arri2012], …) and leaves the top of the
 * codes for lights that a scene seldom has. Fog does the same to a true BT.709 picture, so that alone is not evidence: the noise
 * decides, by how it goes with level (`noise.ts`, `curveFit.ts`). HLG is a video curve below half signal and a logarithm above
 * ([bt2100]): black lies at black and white is reached, so that the histogram alone proves nothing; again the noise does, in files of
 * ten bits and more (the standard knows no other). Which log curve it is can seldom be told: those that explain the noise and have a
 * black no higher than the picture's are named, and the best is suggested with little confidence. A PQ code above 0.9 stands for 3900 cd/m² ([st2084]): seldom light, often a
 * video picture under the wrong tag.
 */
import { curveOf } from '../../colour/index.js'
import type { CurveName, Evidence } from '../../core/index.js'
import { type Codes, codeAt, scaleOf, shareOf } from './codes.js'
import { type CurveFit, fitOf } from './curveFit.js'
import { cannotTell, type Finding, rounded, type Suggestion } from './finding.js'
import type { NoiseLook } from './noise.js'
import { tagged } from './tagged.js'

const CODE = 'diagnose.curve'
const METHOD = 'histogram of luma, and noise against level'
const VIDEO: readonly CurveName[] = ['bt709', 'srgb', 'bt1886', 'gamma22', 'gamma24', 'gamma26', 'gamma28']

const LOGS: readonly CurveName[] = [
  's-log3',
  'logc3-ei800',
  'logc4',
  'v-log',
  'canon-log-2',
  'canon-log-3',
  'log3g10',
  'film-gen5',
  'd-log',
  'apple-log',
  'f-log2',
  'pq',
]
/** Misfit up to which a curve explains the noise, and by how much less than another to be told from it. */
const FITS = 0.18
const CLEARLY = 1.5
/** Black below which no log curve can be: they put no light at 0.09 and more, at 0.035 where codes of the full range are read as limited. */
const LIFTED = 0.03
/** Levels with noise above half signal that HLG must be told by. */
const LIGHTS = 3
/** Confidence of a guess at which log curve it is: below what is written into a document unasked. */
const GUESS = 0.35

/**
 * @param range under which the codes are read: the one that they prove, where the tag is wrong @param by where `curve` comes from
 * @param bits that the picture really uses
 */
export function curveFinding(
  codes: Codes,
  range: 'limited' | 'full',
  curve: CurveName,
  by: Evidence,
  noise: NoiseLook,
  bits: number = codes.layout.bits,
): Finding {
  const { float } = codes.layout
  if (float) return cannotTell(CODE, 'Float samples are taken as linear light.', METHOD, codes.frames)
  const light = codes.light()
  const { black, span } = scaleOf(range, codes.layout.bits)
  const at = (q: number) => (codeAt(light, q) - black) / span
  const look = { black: at(0.002), low: at(0.05), middle: at(0.5), high: at(0.95), top: at(0.9995) }
  const numbers = {
    ...Object.fromEntries(Object.entries(look).map(([k, v]) => [k, rounded(v)])),
    noiseSlope: noise.slope === undefined ? 'unknown' : rounded(noise.slope),
  }
  const base = { code: CODE, frames: codes.frames, method: METHOD, numbers }
  // A third of a code: below that it is rounding.
  const least = 0.35 / scaleOf(range, bits).span
  const misfitOf = (name: CurveName) => fitOf(name, noise, least)
  if (curve === 'pq') {
    const bright = shareOf(light, black + 0.9 * span, 2 ** codes.layout.bits)
    if (bright > 0.01)
      return {
        ...base,
        verdict: 'fault',
        sentence: `${tagged('PQ', by)}, but ${Math.round(100 * bright)} % of it would be brighter than 3900 cd/m².`,
        confidence: 0.8,
        remedy:
          'Give it the curve that it was made with ("curve": "bt709" for most video) in the shot document, or export it again with that tag.',
      }
    return look.top < 0.85
      ? { ...base, verdict: 'fine', sentence: 'Levels are such as PQ pictures have.', confidence: 0.6 }
      : cannotTell(
          CODE,
          'Its few brightest codes may be lights of PQ or a wrong tag.',
          METHOD,
          codes.frames,
          numbers,
        )
  }
  if (!VIDEO.includes(curve))
    return cannotTell(CODE, `Levels neither prove nor disprove ${curve}.`, METHOD, codes.frames, numbers)
  if (look.high - look.black < 0.02)
    return cannotTell(CODE, 'The picture holds hardly more than one level.', METHOD, codes.frames, numbers)
  const [own, hlg] = [misfitOf(curve), misfitOf('hlg')]
  const lights = noise.levels.filter((y, i) => y > 0.55 && (noise.sigma[i] as number) > least).length
  if (bits >= 10 && look.top > 0.6 && lights >= LIGHTS && isClearly(hlg, own))
    return {
      ...base,
      verdict: 'fault',
      sentence: `${tagged(curve, by)}, but its noise is even up to half signal and fades above it, as under HLG.`,
      confidence: 0.65,
      suggestions: [{ field: 'curve', value: 'hlg' }],
      remedy: 'Look up how the camera was set: if to HLG, give it "curve": "hlg" in the shot document.',
    }
  if (look.top > 0.93)
    return bits < 10 || isClearly(own, hlg)
      ? {
          ...base,
          verdict: 'fine',
          sentence: 'Its levels reach white, as those of a video curve do.',
          confidence: 0.75,
        }
      : cannotTell(
          CODE,
          'Its levels reach white, as those of a video curve do, and of HLG; its noise does not say which.',
          METHOD,
          codes.frames,
          numbers,
        )
  // A night or an element on black; log and HDR codes lift the middle of almost any scene.
  if (look.black < LIFTED && look.middle < 0.2)
    return {
      ...base,
      verdict: 'fine',
      sentence: 'Its levels lie near black, as those of a video curve do.',
      confidence: 0.6,
    }
  const { slope } = noise
  if (slope !== undefined && slope < -2) {
    const lifted = look.black >= LIFTED
    const like = lifted ? logsLike(noise, least, look.black) : []
    const names =
      like.length === 0
        ? ''
        : ` It looks like ${like.map((f) => f.curve).join(', ')}, which its noise does not tell apart.`
    const suggestions: Suggestion[] =
      like[0] === undefined ? [] : [{ field: 'curve', value: like[0].curve, confidence: GUESS }]
    return {
      ...base,
      verdict: 'fault',
      sentence: `${tagged(curve, by)}, but its darkest levels lie at ${Math.round(100 * look.black)} %, nothing is brighter than ${Math.round(100 * look.top)} %, and its noise fades towards the lights as under ${lifted ? 'a log or HDR curve' : 'HLG or PQ (a log curve would lift its black)'}.${names}`,
      confidence: slope < -3 ? 0.75 : 0.6,
      ...(suggestions.length === 0 ? {} : { suggestions }),
      remedy:
        "Look up the camera's picture profile and give that curve in the shot document; shoot a grey card or a chart where nobody knows.",
    }
  }
  if (slope !== undefined && slope > -1.2)
    return {
      ...base,
      verdict: 'fine',
      sentence:
        'Contrast is low, but its noise is even over the levels as a video curve leaves it: haze or flat light, no log.',
      confidence: 0.6,
    }
  return cannotTell(
    CODE,
    `Its darkest levels lie at ${Math.round(100 * look.black)} % and nothing is brighter than ${Math.round(100 * look.top)} %: haze, flat light or a log curve, and its noise does not say which.`,
    METHOD,
    codes.frames,
    numbers,
  )
}

/** Whether the first explains the noise, and far better than the second. */
function isClearly(one: CurveFit | undefined, other: CurveFit | undefined): boolean {
  return one !== undefined && other !== undefined && one.misfit < FITS && other.misfit > CLEARLY * one.misfit
}

/** Log and HDR curves that explain the noise about as well as the best of them, best first. */
function logsLike(noise: NoiseLook, least: number, black: number): CurveFit[] {
  const fits = LOGS.flatMap((name) => {
    // Nothing can be darker than no light.
    if (curveOf(name).encode(0) > black + 0.02) return []
    const f = fitOf(name, noise, least)
    return f === undefined || f.misfit > FITS ? [] : [f]
  }).sort((a, b) => a.misfit - b.misfit)
  const best = fits[0]?.misfit ?? 0
  return fits.filter((f) => f.misfit < Math.max(1.3 * best, best + 0.03)).slice(0, 4)
}
