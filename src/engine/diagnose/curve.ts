/**
 * Log or HDR codes under the tag of a display or video curve, and video codes under the tag of PQ.
 *
 * A log curve lifts black (its code for no light is 0.09 to 0.15, [sony-slog3], [arri2012], …) and leaves the top of the
 * codes for lights that a scene seldom has. Fog does the same to a true BT.709 picture, so that alone is not evidence: the noise
 * decides, by how it goes with level (`noise.ts`). A PQ code above 0.9 stands for 3900 cd/m² ([st2084]): seldom light, often a
 * video picture under the wrong tag.
 */
import type { CurveName } from '../../core/index.js'
import { type Codes, codeAt, shareOf } from './codes.js'
import { cannotTell, type Finding, rounded } from './finding.js'
import type { NoiseLook } from './noise.js'

const CODE = 'diagnose.curve'
const METHOD = 'histogram of luma, and noise against level'
const VIDEO: readonly CurveName[] = ['bt709', 'srgb', 'bt1886', 'gamma22', 'gamma24', 'gamma26', 'gamma28']

export function curveFinding(
  codes: Codes,
  range: 'limited' | 'full',
  curve: CurveName,
  noise: NoiseLook,
): Finding {
  const { float, bits } = codes.layout
  if (float) return cannotTell(CODE, 'Float samples are taken as linear light.', METHOD, codes.frames)
  const light = codes.light()
  const unit = 2 ** (bits - 8)
  const [black, span] = range === 'limited' ? [16 * unit, 219 * unit] : [0, 2 ** bits - 1]
  const at = (q: number) => (codeAt(light, q) - black) / span
  const look = { black: at(0.002), low: at(0.05), middle: at(0.5), high: at(0.95), top: at(0.9995) }
  const numbers = {
    ...Object.fromEntries(Object.entries(look).map(([k, v]) => [k, rounded(v)])),
    noiseSlope: noise.slope === undefined ? 'unknown' : rounded(noise.slope),
  }
  const base = { code: CODE, frames: codes.frames, method: METHOD, numbers }
  if (curve === 'pq') {
    const bright = shareOf(light, black + 0.9 * span, 2 ** bits)
    if (bright > 0.01)
      return {
        ...base,
        verdict: 'fault',
        sentence: `Tagged PQ, but ${Math.round(100 * bright)} % of it would be brighter than 3900 cd/m².`,
        confidence: 0.8,
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
  if (look.top > 0.93)
    return {
      ...base,
      verdict: 'fine',
      sentence: 'Its levels reach white, as those of a video curve do.',
      confidence: 0.75,
    }
  // A night or an element on black; log and HDR codes lift the middle of almost any scene.
  if (look.black < 0.03 && look.middle < 0.2)
    return {
      ...base,
      verdict: 'fine',
      sentence: 'Its levels lie near black, as those of a video curve do.',
      confidence: 0.6,
    }
  const { slope } = noise
  if (slope !== undefined && slope < -2) {
    return {
      ...base,
      verdict: 'fault',
      sentence: `Tagged ${curve}, but its darkest levels lie at ${Math.round(100 * look.black)} %, nothing is brighter than ${Math.round(100 * look.top)} %, and its noise fades towards the lights as under a log or HDR curve.`,
      confidence: slope < -3 ? 0.75 : 0.6,
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
