/**
 * How an element comes off its ground: by alpha, by black, by a key colour, or not at all.
 *
 * Looked at along the outermost cells of the frames, in code values: black by its corners (`ground.ts`, as for a first
 * document); a key where, on half of the frames, at least half of the border is one saturated green or blue (shares of R, G, B
 * alike to 0.07 and 0.2 apart). Limits: choices.
 */

import type { AlphaKind } from '../../chain/source/alpha/apply.js'
import { type FloatImage, median } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { alphaSaid } from '../ground.js'
import type { Line } from './types.js'

export type Key = 'green' | 'yellow-green' | 'blue'

export interface CutOut {
  readonly kind: 'alpha' | 'on-black' | 'keyed' | 'whole'
  readonly alpha: AlphaKind
  readonly key?: Key
  readonly why: string
}

/** Sum of the channels below which a colour has no shares. */
const BLACK = 0.06
/** Least spread of the channels' shares of a colour: 0 is grey, 1 a pure primary. */
const LEAST_COLOUR = 0.2
/** Distance in shares of red and green that still is the same colour. */
const ALIKE = 0.07
const KEYED_SHARE = 0.5
/** The border is looked at every so many pixels. */
const STEP = 4

/**
 * @param codes pictures of code values, alpha as stored
 * @param black whether the corners of all of them are black
 */
export function cutOutOf(
  codes: readonly FloatImage[],
  info: Pick<SourceInfo, 'layout' | 'codec' | 'alphaHint'>,
  black: boolean,
): CutOut {
  if (info.layout.alpha && codes.some(varies)) {
    const { kind, why } = alphaSaid(info)
    return { kind: 'alpha', alpha: kind, why: `alpha, taken as ${kind}: ${why}` }
  }
  const constant = info.layout.alpha ? 'its alpha covers everything; ' : ''
  if (black) return { kind: 'on-black', alpha: 'on-black', why: `${constant}its corners are black` }
  const keys = codes.map(keyAlongBorder).filter((key) => key !== undefined)
  const key = keys[0]
  if (key !== undefined && 2 * keys.length >= codes.length)
    return { kind: 'keyed', alpha: 'none', key, why: `${constant}${key} along its border` }
  return {
    kind: 'whole',
    alpha: 'none',
    why: `${constant}no alpha, and its border is neither black nor of a key colour`,
  }
}

function varies({ data }: FloatImage): boolean {
  const first = data[3] as number
  if (first < 0.999) return true
  for (let i = 7; i < data.length; i += 4) if (Math.abs((data[i] as number) - first) > 1e-3) return true
  return false
}

/** Colour along the border, when most of it is one saturated colour. */
function keyAlongBorder({ region, data }: FloatImage): Key | undefined {
  const { width, height } = region
  const at: number[] = []
  for (let x = 0; x < width; x += STEP) at.push(x, (height - 1) * width + x)
  for (let y = STEP; y < height - 1; y += STEP) at.push(y * width, (y + 1) * width - 1)
  return keyOf(data, at)
}

function keyOf(data: Float32Array, at: readonly number[]): Key | undefined {
  const shareOf = (c: number) =>
    at.map((p) => {
      const i = 4 * p
      const sum = (data[i] as number) + (data[i + 1] as number) + (data[i + 2] as number)
      return sum > BLACK ? (data[i + c] as number) / sum : 1 / 3
    })
  const [reds, greens] = [shareOf(0), shareOf(1)]
  const [r, g] = [median(reds), median(greens)]
  const b = 1 - r - g
  if (Math.max(r, g, b) - Math.min(r, g, b) < LEAST_COLOUR) return undefined
  const like = reds.filter((red, i) => Math.hypot(red - r, (greens[i] as number) - g) < ALIKE)
  if (like.length < KEYED_SHARE * at.length) return undefined
  if (g >= Math.max(r, b)) return r > 0.75 * g ? 'yellow-green' : 'green'
  return b >= r ? 'blue' : undefined
}

export function cutOutLine(cut: CutOut): Line {
  const fine = { name: 'cut-out', verdict: 'fine', worth: 1, why: cut.why } as const
  switch (cut.kind) {
    case 'alpha':
      return { ...fine, figure: `${cut.alpha} alpha` }
    case 'on-black':
      return { ...fine, figure: 'light on black' }
    case 'keyed':
      return { ...fine, worth: 0.9, figure: `${cut.key} screen` }
    case 'whole':
      return {
        name: 'cut-out',
        verdict: 'cannot tell',
        worth: 0.5,
        figure: 'whole picture',
        why: cut.why,
        remedy: 'it needs a matte before it can stand in a plate',
      }
  }
}
