/**
 * Whether an element's alpha is what its file or format says it is, by the meter of `diagnose` along its edges.
 *
 * Rule: where its pixels speak against that with SURE or more, the kind that they speak for is taken, and the line is
 *
 *   poor    where telling its kind mends it, or nearly does
 *   unfit   where no kind does: multiplied twice, or over white
 *
 * What was multiplied twice is shown as multiplied once, with its edges too dark; what stands on white as its format says, with its
 * white rim: so would it stand in the plate.
 */
import type { ColourEncoding, NativeFrame, PixelLayout } from '../../core/index.js'
import { unpack } from '../../kernels/index.js'
import type { SourceInfo } from '../../media/index.js'
import { kindOf } from '../diagnose/alphaKind.js'
import { type AlphaLook, AlphaMeter } from '../diagnose/alphaLook.js'
import { alphaSaid } from '../ground.js'
import { percent } from '../words.js'

/** A choice. */
const SURE = 0.65
/** Rows that are looked at together, and pixels of all frames of an element, about: 1080p at five frames sees every row once. */
const BAND = 64
const ENOUGH_PIXELS = 3e6

/** What is wrong with an alpha. */
export interface AlphaFault {
  readonly verdict: 'poor' | 'unfit'
  readonly worth: number
  readonly figure: string
  readonly remedy: string
}

export interface AlphaJudged {
  /** As which it is read. */
  readonly alpha: 'straight' | 'premultiplied'
  readonly why: string
  readonly fault?: AlphaFault
}

/** Collects what the meter needs in bands of rows, spread over the frames. */
export class AlphaBands {
  private readonly meter: AlphaMeter
  private readonly encoding: ColourEncoding
  private readonly every: number
  private frames = 0

  /** @param pixels of all frames that will be looked at */
  constructor(layout: PixelLayout, encoding: ColourEncoding, pixels: number) {
    this.meter = new AlphaMeter(layout, encoding)
    this.encoding = encoding
    this.every = Math.max(1, Math.round(pixels / ENOUGH_PIXELS))
  }

  add(native: NativeFrame): void {
    const { width, height } = native
    const first = this.frames++ % this.every
    for (let y = first * BAND; y < height; y += this.every * BAND)
      this.meter.add(unpack(native, this.encoding, { x: 0, y, width, height: Math.min(BAND, height - y) }))
  }

  look(): AlphaLook {
    return this.meter.look()
  }
}

export function alphaJudged(look: AlphaLook, info: Pick<SourceInfo, 'alphaHint'>): AlphaJudged {
  const { kind: said, why } = alphaSaid(info)
  const { found, confidence, domain } = kindOf(look, said)
  const asSaid: AlphaJudged = { alpha: said, why: `alpha, taken as ${said}: ${why}` }
  const sure = `${percent(confidence)} sure`
  if (confidence < SURE) return asSaid
  switch (found) {
    case 'on white':
      return {
        alpha: said,
        why: `its colour was multiplied by alpha over white (${sure}): edges will glow white`,
        fault: {
          verdict: 'unfit',
          worth: 0.2,
          figure: 'multiplied over white',
          remedy: 'export it again over black or with straight alpha',
        },
      }
    case 'doubly multiplied':
      return {
        alpha: 'premultiplied',
        why: `its colour was multiplied by alpha twice (${sure}): edges will be too dark`,
        fault: {
          verdict: 'unfit',
          worth: 0.3,
          figure: 'multiplied twice',
          remedy: 'export it again straight, or multiplied once',
        },
      }
    case 'straight':
    case 'premultiplied':
      if (domain === 'light' && found === 'premultiplied')
        return {
          alpha: found,
          why: `its colour was multiplied by alpha in linear light and coded afterwards (${sure}), which no file says: edges come out too bright`,
          fault: {
            verdict: 'poor',
            worth: 0.6,
            figure: 'multiplied in linear light',
            remedy: 'better export it straight; as it is, "alpha": "premultiplied" comes nearest',
          },
        }
      if (found === said) return { alpha: said, why: `${asSaid.why}, and its edges agree` }
      return {
        alpha: found,
        why: `by its edges its alpha is ${found} (${sure}), yet ${why}`,
        fault: {
          verdict: 'poor',
          worth: 0.7,
          figure: `${found}, not ${said}`,
          remedy: `give it "alpha": "${found}" in the shot document; the settings that it was rendered with tell for certain`,
        },
      }
    default:
      return asSaid
  }
}
