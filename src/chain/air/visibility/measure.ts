/**
 * Visibility from marks: dark things before open air, at distances that a map tells.
 *
 *   t = (A − I) / (A − J)      A = (B − J′t′) / (1 − t′)      t′ = t^(d′/d)      V = −ln 50 · d / ln t
 *
 *   I  middle of the mark   B  middle of what lies beside it, on its darker side (a low sun's glow is no air)   A  air at infinity
 *   J  the mark's own light, ρ · ambient; of a dark mark it matters little   d  distance m   ′  of a far shore behind the mark, as
 *   dark as the mark; open air has t′ = 0
 *
 * t and A are found in turn, from t′ = 0 on.
 * All in luminance, of the channels that are whole beside the mark. Several marks: the median of their extinctions.
 * Source: [koschmieder1924]; the 2 % threshold: AMS Glossary of Meteorology.
 */
import {
  type FloatImage,
  intersect,
  median,
  type Reading,
  type Region,
  type Rgb,
  robustSigma,
} from '../../../core/index.js'
import { extinction } from '../haze/model.js'

export interface Mark {
  /** The plate, linear, on the frame on which the mark is looked at. */
  readonly image: FloatImage
  readonly frame: number
  readonly region: Region
  readonly distanceM: number
  /** Distance of the shore behind it, where that is not open air. */
  readonly behindM?: number | undefined
  /** Share of light that it gives back. */
  readonly reflectance: number
}

/** Between these the mark's contrast tells how much air there is: above hardly any, below hardly a mark. */
const CLEAREST = 0.95
const DIMMEST = 0.04
/** Least contrast of mark against air by which it is a mark. */
const LEAST_CONTRAST = 0.03
/** Share of the ceiling from which on a channel counts as clipped. */
const CLIPPED = 0.95

/**
 * @param luminance weights of the channels
 * @param ambient light of a white surface at the marks; without it a mark's own light is taken as that share of the air's, halved:
 * an upright wall sees half a sky
 */
export function visibilityFromMarks(
  marks: readonly Mark[],
  ambient: Rgb | undefined,
  luminance: Rgb,
  clip: number,
): Reading<number> {
  const readings = marks.map((m) => extinctionOf(m, ambient, luminance, clip))
  const found = readings.filter((r) => typeof r === 'number')
  if (found.length === 0) return { cannotTell: readings.find((r) => typeof r === 'string') ?? 'no marks' }
  const beta = median(found)
  const visibility = extinction(1) / beta
  return {
    value: visibility,
    evidence: {
      kind: 'measured',
      frames: [...new Set(marks.map((m) => m.frame))],
      ...(found.length === 1 ? { region: (marks[readings.indexOf(beta)] as Mark).region } : {}),
      method: `contrast of ${found.length === 1 ? 'a mark' : `${found.length} marks`} against the air beside it`,
      ...(found.length > 1 ? { spread: visibility * robustSigma(found.map((b) => beta / b)) } : {}),
      confidence: found.length > 1 ? 0.8 : 0.7,
    },
  }
}

function extinctionOf(mark: Mark, ambient: Rgb | undefined, luminance: Rgb, clip: number): number | string {
  const { image } = mark
  const own = middle(image, mark.region)
  const places = placesBeside(image, mark.region)
  const darker = places.sort((a, b) => Math.min(...a) - Math.min(...b))[0]
  const whole = luminance.map((w, c) =>
    darker && (darker[c] as number) < CLIPPED * clip ? w : 0,
  ) as unknown as Rgb
  const level = (v: Rgb) => whole[0] * v[0] + whole[1] * v[1] + whole[2] * v[2]
  const beside = places.sort((a, b) => level(a) - level(b))
  if (own === undefined || beside.length === 0) return 'a mark has no room beside it in the picture'
  if (level([1, 1, 1]) === 0) return 'the air beside the mark is clipped'
  const air = beside.filter((v) => level(own) < (1 - LEAST_CONTRAST) * level(v))[0]
  if (air === undefined) return 'the mark is no darker than the air beside it'
  const t = shareLeft(level(own), level(air), mark, ambient && level(ambient))
  if (t < DIMMEST) return 'the mark has all but gone in the air'
  if (t > CLEAREST) return 'the mark is too near: the air before it hardly shows'
  return -Math.log(t) / mark.distanceM
}

/** Rounds in which t and A settle: a shore twice as far as its mark needs a dozen. */
const ROUNDS = 24

/** Transmittance before the mark. @param beside luminance of what lies beside it  @param white of a white surface */
function shareLeft(own: number, beside: number, mark: Mark, white: number | undefined): number {
  const farther = mark.behindM === undefined ? 0 : mark.behindM / mark.distanceM
  let air = beside
  let t = 0
  for (let k = 0; k < ROUNDS; k++) {
    const dark = mark.reflectance * (white ?? air / 2)
    t = Math.min(Math.max((air - own) / Math.max(air - dark, 1e-6), 0), 1)
    if (farther <= 1) return t
    const behind = Math.min(t ** farther, 0.5)
    air = (beside - dark * behind) / (1 - behind)
  }
  return t
}

/** Middle colours of the two places beside a region, as large and half its width away. */
function placesBeside(image: FloatImage, r: Region): Rgb[] {
  const gap = Math.ceil(r.width / 2)
  return [r.x - gap - r.width, r.x + r.width + gap]
    .map((x) => middle(image, { ...r, x }))
    .filter((v) => v !== undefined)
}

function middle(image: FloatImage, wanted: Region): Rgb | undefined {
  const r = intersect(image.region, wanted)
  if (r.width !== wanted.width || r.height !== wanted.height) return undefined
  const values: [number[], number[], number[]] = [[], [], []]
  for (let y = r.y; y < r.y + r.height; y++) {
    for (let x = r.x; x < r.x + r.width; x++) {
      const i = 4 * ((y - image.region.y) * image.region.width + x - image.region.x)
      for (const c of [0, 1, 2] as const) values[c].push(image.data[i + c] as number)
    }
  }
  return [median(values[0]), median(values[1]), median(values[2])]
}
