/**
 * How an element comes off its ground: by alpha, by black, by a key colour, or not at all.
 *
 * Alpha by its edges (`alpha.ts`); black by its corners (`ground.ts`, as for a first document); a key colour by the finder of `diagnose`.
 */

import type { AlphaKind } from '../../chain/source/alpha/apply.js'
import type { FloatImage } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import type { AlphaLook } from '../diagnose/alphaLook.js'
import { findKey, isKeyable, type KeyGround } from '../diagnose/keyGround.js'
import { percent } from '../words.js'
import { type AlphaFault, alphaJudged } from './alpha.js'
import type { Line } from './types.js'

export interface CutOut {
  readonly kind: 'alpha' | 'on-black' | 'keyed' | 'whole'
  readonly alpha: AlphaKind
  readonly key?: KeyGround
  readonly why: string
  /** Its alpha is not what its format says, or nothing at all. */
  readonly fault?: AlphaFault
}

/**
 * @param seen of its alpha; absent where it has none
 * @param codes pictures of code values, alpha as stored
 * @param black whether the corners of all of them are black
 * @param linear the same pictures in linear light; asked for only where no alpha and no black is found
 */
export function cutOutOf(
  seen: AlphaLook | undefined,
  codes: readonly FloatImage[],
  info: Pick<SourceInfo, 'alphaHint'>,
  black: boolean,
  linear: () => readonly FloatImage[],
): CutOut {
  if (seen !== undefined && (!isConstant(seen) || codes.some(varies)))
    return { kind: 'alpha', ...alphaJudged(seen, info) }
  const ground = groundOf(black, linear)
  if (seen === undefined) return ground
  if (seen.lowest >= OPAQUE) return { ...ground, why: `its alpha covers everything; ${ground.why}` }
  const everywhere = `its alpha is ${Number(seen.lowest.toFixed(2))} everywhere: it says nothing about cover`
  const fault = {
    verdict: 'poor',
    worth: 0.6,
    figure: 'empty alpha',
    remedy: `give it "alpha": "${ground.alpha}" in the shot document, or export its alpha again`,
  } as const
  return { ...ground, why: `${everywhere}; ${ground.why}`, fault }
}

/** What a file without cover of its own stands on. */
function groundOf(black: boolean, linear: () => readonly FloatImage[]): CutOut {
  if (black) return { kind: 'on-black', alpha: 'on-black', why: 'its corners are black' }
  const { best } = findKey(linear())
  if (best !== undefined && isKeyable(best)) {
    const why = `${best.colour} fills ${percent(best.share)} of it, lit within ±${best.halfRange.toFixed(2)} stop`
    return { kind: 'keyed', alpha: 'none', key: best, why }
  }
  const why =
    best === undefined
      ? 'no alpha, and its ground is neither black nor a key colour'
      : best.likeSky
        ? 'no alpha, and its blue may as well be a clear sky'
        : `no alpha, and its ${best.colour} is as uneven as leaves`
  return { kind: 'whole', alpha: 'none', why }
}

const OPAQUE = 0.99
/** Alpha that changes by less is one value. */
const ONE_VALUE = 1e-3

function isConstant({ lowest, highest }: AlphaLook): boolean {
  return highest - lowest <= ONE_VALUE
}

/** Its rows may lie between those that were looked at. */
function varies({ data }: FloatImage): boolean {
  const first = data[3] as number
  for (let i = 7; i < data.length; i += 4) if (Math.abs((data[i] as number) - first) > ONE_VALUE) return true
  return false
}

export function cutOutLine(cut: CutOut): Line {
  if (cut.fault !== undefined) return { name: 'cut-out', why: cut.why, ...cut.fault }
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
