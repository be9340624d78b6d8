/**
 * How an element comes off its ground: by alpha, by black, by a key colour, or not at all.
 *
 * Black by its corners (`ground.ts`, as for a first document); a key colour by the finder of `diagnose`.
 */

import type { AlphaKind } from '../../chain/source/alpha/apply.js'
import type { FloatImage } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { findKey, isKeyable, type KeyGround } from '../diagnose/keyGround.js'
import { alphaSaid } from '../ground.js'
import { percent } from '../words.js'
import type { Line } from './types.js'

export interface CutOut {
  readonly kind: 'alpha' | 'on-black' | 'keyed' | 'whole'
  readonly alpha: AlphaKind
  readonly key?: KeyGround
  readonly why: string
}

/**
 * @param codes pictures of code values, alpha as stored
 * @param black whether the corners of all of them are black
 * @param linear the same pictures in linear light; asked for only where no alpha and no black is found
 */
export function cutOutOf(
  codes: readonly FloatImage[],
  info: Pick<SourceInfo, 'layout' | 'alphaHint'>,
  black: boolean,
  linear: () => readonly FloatImage[],
): CutOut {
  if (info.layout.alpha && codes.some(varies)) {
    const { kind, why } = alphaSaid(info)
    return { kind: 'alpha', alpha: kind, why: `alpha, taken as ${kind}: ${why}` }
  }
  const constant = info.layout.alpha ? 'its alpha covers everything; ' : ''
  if (black) return { kind: 'on-black', alpha: 'on-black', why: `${constant}its corners are black` }
  const { best } = findKey(linear())
  if (best !== undefined && isKeyable(best)) {
    const why = `${constant}${best.colour} fills ${percent(best.share)} of it, lit within ±${best.halfRange.toFixed(2)} stop`
    return { kind: 'keyed', alpha: 'none', key: best, why }
  }
  const why =
    best === undefined
      ? 'no alpha, and its ground is neither black nor a key colour'
      : best.likeSky
        ? 'no alpha, and its blue may as well be a clear sky'
        : `no alpha, and its ${best.colour} is as uneven as leaves`
  return { kind: 'whole', alpha: 'none', why: `${constant}${why}` }
}

function varies({ data }: FloatImage): boolean {
  const first = data[3] as number
  if (first < 0.999) return true
  for (let i = 7; i < data.length; i += 4) if (Math.abs((data[i] as number) - first) > 1e-3) return true
  return false
}

export function cutOutLine(cut: CutOut): Line {
  const fine = { name: 'cut-out', verdict: 'fine', worth: 1, why: cut.why } as const
  switch (cut.kind) {
    case 'alpha':
      return { ...fine, figure: `${cut.alpha} alpha` }
    case 'on-black':
      return { ...fine, figure: 'light on black' }
    case 'keyed':
      return { ...fine, worth: 0.9, figure: `${cut.key?.colour} screen` }
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
