/**
 * Key colour over a file: whether a ground of one colour stands in it, how even it is, where the frame sees past it, and which
 * frames show it alone. Frames are looked at one by one and forgotten.
 *
 * Half a stop of unevenness is what a key still takes well: common practice. More is a fault.
 */
import { type FloatImage, median } from '../../core/index.js'
import { percent } from '../words.js'
import { cannotTell, type Finding, rounded, type Said } from './finding.js'
import { isKeyable, isLarge, type KeyGround, keyGroundOf } from './keyGround.js'
import { listed } from './runs.js'

export { findKey, isKeyable, type KeyGround } from './keyGround.js'

const CODE = 'diagnose.key'
const METHOD = 'narrowest peak of green or blue chroma in linear light'
const EVEN = 0.5
const VERY_UNEVEN = 0.9
/** From this share on the frame holds the ground and nothing else. */
const CLEAN = 0.97
/** A side of the frame of which less is ground sees past it. */
const PAST = 0.9
const SIDES = ['top', 'right', 'bottom', 'left'] as const

const REMEDY =
  'Light the ground within half a stop and shoot it again; else key it in parts, each with its own colour, and cut off by hand what is far from the subject.'

type Told = Said & Pick<Finding, 'numbers'>

const isGround = (k: KeyGround | undefined): k is KeyGround => isLarge(k) && isKeyable(k)

/** Collects grounds frame by frame. */
export class KeyMeter {
  private readonly frames: number[] = []
  private readonly looks: (KeyGround | undefined)[] = []

  /** @param image opaque linear light; rows may be left out evenly */
  add(frame: number, image: FloatImage): void {
    this.frames.push(frame)
    this.looks.push(keyGroundOf(image))
  }

  finding(): Finding {
    const { frames, looks } = this
    if (frames.length === 0) return cannotTell(CODE, 'No frame was looked at.', METHOD, frames)
    const base = { code: CODE, frames, method: METHOD }
    const grounds = looks.filter(isGround)
    if (2 * grounds.length >= frames.length) return { ...base, ...this.told(grounds) }
    const large = looks.filter(isLarge)
    const numbers = { grounds: grounds.length, looked: frames.length }
    const none = { ...base, verdict: 'fine', confidence: 0.7 } as const
    if (2 * large.length < frames.length) return { ...none, sentence: 'There is no key colour.', numbers }
    const k = most(large)
    const all = { ...numbers, colour: k.colour, share: rounded(k.share), patches: rounded(k.patches) }
    if (k.likeSky)
      return cannotTell(
        CODE,
        'Much of it is blue, as a clear sky is, and some blue grounds.',
        METHOD,
        frames,
        all,
      )
    const sentence = `There is no key colour: ${percent(k.share)} of it is ${k.colour}, but as uneven as leaves.`
    return { ...none, sentence, numbers: all }
  }

  private told(grounds: readonly KeyGround[]): Told {
    const k = most(grounds)
    const uneven = median(grounds.map((g) => g.halfRange))
    const worst = Math.max(...grounds.map((g) => g.halfRange))
    const spread = median(grounds.map((g) => g.spread))
    const levels = grounds.map((g) => g.level)
    const drift = Math.log2(Math.max(...levels) / Math.min(...levels))
    const at = (test: (g: KeyGround) => boolean) =>
      this.frames.filter((_, i) => {
        const look = this.looks[i]
        return look !== undefined && look.colour === k.colour && test(look)
      })
    const clean = at((g) => g.share > CLEAN)
    const past = SIDES.map((side, s) => ({ side, frames: at((g) => (g.border[s] as number) < PAST) }))
    const lost = this.frames.filter((_, i) => !isGround(this.looks[i]))
    const words = [
      `A ${k.colour} ground fills up to ${percent(k.share)} of it, lit within ±${uneven.toFixed(2)} stop${worst > uneven + 0.1 ? ` (±${worst.toFixed(2)} at worst)` : ''}${uneven > VERY_UNEVEN ? ', which is very uneven' : uneven > EVEN ? ', which is uneven' : ''}`,
      `nine tenths of it within ${spread.toFixed(3)} of one colour (shares of red and green)`,
      ...(drift > 0.1 ? [`its light drifts by ${drift.toFixed(1)} stop over the frames`] : []),
    ]
    const sights = past
      .filter((p) => p.frames.length > 0)
      .map(
        (p) =>
          `${p.side} on ${p.frames.length === this.frames.length ? 'all frames' : `frames ${listed(p.frames, 4)}`}`,
      )
    const more = [
      sights.length === 0 ? '' : ` Something else meets the frame at the ${sights.join(', ')}.`,
      lost.length === 0 ? '' : ` It is not there on frames ${listed(lost, 6)}.`,
      clean.length === 0 ? '' : ` Nothing but the ground on frames ${listed(clean, 6)}.`,
    ]
    return {
      // Grass may lie as a ground does.
      ...(uneven > EVEN
        ? { verdict: 'fault' as const, remedy: REMEDY, confidence: uneven > VERY_UNEVEN ? 0.6 : 0.75 }
        : { verdict: 'fine' as const, confidence: 0.8 }),
      sentence: `${words.join('; ')}.${more.join('')}`,
      numbers: {
        colour: k.colour,
        share: rounded(k.share),
        evennessStops: rounded(uneven),
        colourSpread: rounded(spread),
        driftStops: rounded(drift),
        patches: rounded(k.patches),
        clean,
      },
    }
  }
}

function most(grounds: readonly KeyGround[]): KeyGround {
  return grounds.reduce((a, b) => (b.share > a.share ? b : a))
}
